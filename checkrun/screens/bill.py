"""The bill: what has to be put right, what it costs, and the most to pay."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import ClassVar

from textual.binding import BindingType

from checkrun.report.billsheet import cost_lines, item_rows, sum_rows
from checkrun.report.money import amount
from checkrun.report.sheet import Row
from checkrun.screens import keys
from checkrun.screens.claims import WeighedScreen
from checkrun.screens.widgets.painted import Runs
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.session import Session
from checkrun.session.valuing import (
    COSTS,
    TERMS,
    check_figure,
    check_term,
    set_cost,
    set_terms,
)
from checkrun.weigh.bill import Bill, Line, bill
from checkrun.weigh.observe import weighed


class BillScreen(WeighedScreen):
    """The items on one side, the marked one and the sums on the other."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.BILL]
    TABLE = "Bill"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._bill: Bill | None = None
        self._items: tuple[Line, ...] = ()
        self._mark_next = ""

    @property
    def line(self) -> Line | None:
        """The marked item."""
        return self._items[self.items.at] if self._items else None

    @property
    def marked(self) -> str:
        """The check of the marked item."""
        return "" if self.line is None else self.line.check.id

    def show_anew(self, message: str) -> None:
        """Work out the bill."""
        marked = self._mark_next or self.marked or self.stood_at
        self._mark_next = ""
        stay = bool(self.marked) and marked == self.marked
        found = bill(self.session.walk, weighed(self.session.walk).beliefs)
        self._bill, self._items = found, (*found.lines, *found.seller, *found.unpriced)
        head, figures = cost_lines(self._items)
        rows: list[Runs] = []
        at = None
        for place, (line, columns) in enumerate(zip(self._items, figures, strict=True)):
            role = "aside" if line.own.seller else "text"
            result = "open" if line.result is None else line.result.value
            glyph = f"{self.look.glyphs.result[result]} "
            rows.append([(columns, role), (glyph, result), (line.check.ask, "text")])
            if line.check.id == marked:
                at = place
        self.items.show(rows, at, head)
        currency = f" {found.terms.currency}" if found.terms.currency else ""
        if found.offer is None:
            said = f"80 % stay below {amount(found.spread.p80)}{currency}"
        else:
            said = f"most to pay {amount(found.offer.most_to_pay)}{currency}"
        if found.unpriced:
            said += f", {len(found.unpriced)} without a cost"
        self.head("Bill", said, message or self._hint(found))
        self.show_sheet(stay=stay)

    def _hint(self, found: Bill) -> str:
        if found.value is None:
            return "Press a to enter the price asked."
        return "The structure failed a check: frame and body decide." if found.warning else ""

    def show_sheet(self, *, stay: bool = False) -> None:
        """Show the sums, and above them the marked item."""
        if self._bill is not None:
            rows = partial(self._rows, self._bill, self.line)
            self.query_one(Sheet).show(rows, stay=stay)

    def _rows(self, found: Bill, line: Line | None, width: int) -> Iterator[Row]:
        if line is not None:
            yield from item_rows(line, found.terms)
            yield Row("", "")
        yield from sum_rows(found, self.look.glyphs, max(40, width))

    def action_go(self) -> None:
        """Go to the check of the marked item."""
        if self.line is not None:
            self.go_to(self.line.check.id)

    def action_term(self, name: str) -> None:
        """Ask for one of the terms."""
        from checkrun.screens.ask import AskScreen

        if not self.may_enter():
            return
        said = self.session.walk.terms.get(name, "")
        if name == "asking" and not said and self._bill is not None:
            asked = self._bill.terms.asking  # at the questions about the car
            said = "" if asked is None else f"{asked.normalize():f}"

        def done(text: str | None) -> None:
            if text is not None:
                self.enter(lambda: set_terms(self.session, {name: text}))

        self.app.push_screen(
            AskScreen(
                TERMS[name][0].upper() + TERMS[name][1:],
                "An empty line takes back what was said.",
                "",
                value=said,
                check=partial(check_term, name),
            ),
            done,
        )

    def action_cost(self, name: str) -> None:
        """Ask for one's own figure of the marked item."""
        from checkrun.screens.ask import AskScreen

        line = self.line
        if line is None or not self.may_enter():
            return
        check_id = line.check.id

        def done(text: str | None) -> None:
            if text is not None:
                self.enter(lambda: set_cost(self.session, check_id, {name: text}))

        self.app.push_screen(
            AskScreen(
                line.check.ask,
                f"Your own {COSTS[name]}. An empty line takes the route's figure.",
                "2 4 9" if name != "chance" else "0.5 or 50 %",
                value=self.session.walk.state(check_id).own.get(name, ""),
                check=partial(check_figure, name),
            ),
            done,
        )

    def action_seller(self) -> None:
        """Say that the seller puts the marked item right, or that not; then mark the next one."""
        line = self.line
        if line is not None:
            value = "" if line.own.seller else "yes"
            below = self._items[self.items.at + 1 :]

            def put() -> None:
                set_cost(self.session, line.check.id, {"seller": value})
                self._mark_next = below[0].check.id if below else ""

            self.enter(put)

    def action_claims(self) -> None:
        """Show the claims."""
        from checkrun.screens.claims import ClaimsScreen

        self.over(ClaimsScreen(self.session))
