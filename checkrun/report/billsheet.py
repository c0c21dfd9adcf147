"""The bill of a walk as rows for the screen: each item, and all the sums."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from checkrun.report import money
from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row
from checkrun.route.model import Result
from checkrun.session.valuing import TERMS, Terms, said_range
from checkrun.weigh.bill import Bill, Line, reckoned


def cost_lines(lines: Sequence[Line]) -> tuple[str, list[str]]:
    """The items in columns: mean, chance and share of the spread; and what stands above them."""
    means = ["?" if line.unpriced else money.amount(line.mean) for line in lines]
    width = max([4, *map(len, means)])
    found = []
    for line, mean in zip(lines, means, strict=True):
        chance = "seller" if line.own.seller else f"{round(100 * line.chance)} %"
        share = "" if line.own.seller or line.unpriced else f"{round(100 * line.share)} %"
        found.append(f"{mean:>{width}} {chance:>6} {share:>6}  ")
    return f"{'mean':>{width}} chance spread", found


def item_rows(line: Line, terms: Terms) -> Iterator[Row]:
    """What an item is reckoned with, and whose figures those are."""
    check, own = line.check, line.own
    yield Row("", check.ask, "ask")
    result = "open, not looked at yet" if line.result is None else line.result.value
    yield Row("result", f"{result.replace('-', ' ')}; {check.severity.value}, {check.group.value}")
    for name, values, is_own in (
        ("hours", line.hours, own.hours is not None),
        ("parts", line.parts, own.parts is not None),
    ):
        whose = "yours" if is_own else "the route's" if check.cost else "nobody said"
        yield Row(name, f"{said_range(values)} (low, likely, high; {whose})")
    if own.chance is not None:
        whose = "yours"
    elif line.result in (None, Result.NOT_EXAMINED):
        whose = "as often as such cars have it"
    else:
        whose = "by its result"
    yield Row("chance", f"{100 * line.chance:g} % that it has to be put right ({whose})")
    if own.seller:
        yield Row("seller", "puts this right; it is not in the sums", "aside")
    elif line.unpriced:
        yield Row("adds", "nothing, until hours or parts are entered", "concern")
    else:
        share = f"{money.amount(line.mean)} of the mean, {round(100 * line.share)} % of the spread"
        yield Row("adds", share)
    if check.cost is not None and check.cost.together:
        yield Row(
            "together", f"labour once for all: {check.cost.together.replace('-', ' ')}", "quiet"
        )
    rate = f"{terms.rate.normalize():f}"
    yield Row("rate", f"{rate} an hour", "quiet")


def sum_rows(bill: Bill, glyphs: Glyphs, width: int) -> Iterator[Row]:
    """The most to pay line by line, what it costs, how it spreads, and by group."""
    terms = reckoned(bill.terms)
    offer = bill.offer
    currency = f" ({bill.terms.currency})" if bill.terms.currency else ""
    if bill.warning:
        yield Row(glyphs.caution, bill.warning, "caution")
    if offer is None:
        yield Row("", "The most to pay", "title")
        yield Row("", "No price is known yet.", "quiet")
    else:
        yield from _titled(money.offer_rows(replace(offer, warning=""), glyphs, width), currency)
        if bill.terms.asking is not None:
            yield Row("", f"  {_asked(float(bill.terms.asking), offer.most_to_pay)}", "quiet")
    yield Row("", "")
    yield from _titled(money.cost_rows(bill.moments, bill.spread, terms, width), currency)
    yield from (Row("", line) for line in money.histogram_rows(bill.spread, glyphs, width))
    if bill.groups:
        yield Row("", "")
        yield Row("", "By group, mean", "title")
        for group, mean in bill.groups:
            yield Row("", f"  {group.value:10}  {money.amount(mean):>9}")
    if bill.seller:
        yield Row("", "")
        yield Row("", "The seller puts right", "title")
        yield from (Row("", f"  {line.check.ask}") for line in bill.seller)
    if bill.unpriced:
        yield Row("", "")
        yield Row("", "Without any cost: enter your own", "title")
        yield from (Row("", f"  {line.check.ask}", "concern") for line in bill.unpriced)
    yield Row("", "")
    yield Row("", "Reckoned with", "title")
    for name, meaning in TERMS.items():
        value = getattr(bill.terms, name)
        said = "not said" if value in (None, "") else str(value)
        yield Row("", f"  {name} {said}: {meaning}", "quiet")


def _asked(asking: float, most: float) -> str:
    """How the price asked stands to the most to pay."""
    apart = money.amount(abs(asking - most))
    way = "more" if asking > most else "less"
    return f"asked {money.amount(asking)}, which is {apart} {way}"


def _titled(lines: list[str], currency: str) -> Iterator[Row]:
    yield Row("", lines[0] + currency, "title")
    yield from (Row("", line) for line in lines[1:])
