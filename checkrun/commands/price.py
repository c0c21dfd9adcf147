"""The command `price`: what it costs and the most to pay, from standard input."""

from __future__ import annotations

import sys
from typing import Any

from checkrun.commands import Arguments
from checkrun.commands.given import Given
from checkrun.commands.standard_input import read
from checkrun.weigh.asdata import price_as_data
from checkrun.weigh.cost import Item, Terms, moments
from checkrun.weigh.offer import STRUCTURE_FAILED, Stake, offer
from checkrun.weigh.pert import Range
from checkrun.weigh.simulate import simulate

_EXAMPLE = "{items: [{id: sill, hours: [6, 14, 40], parts: [0, 300, 2500]}], rate: 80}"
#: Beyond these is a slip of the hand, or more work than an answer is worth.
_MOST_MONEY, _MOST_HOURS = 1e9, 1e5
_MOST_ITEMS, _DRAWS, _MOST_WORK = 1000, (100, 1_000_000), 50_000_000
_NOTHING = (0.0, 0.0, 0.0)


def price(args: Arguments) -> int:
    """Print what some items cost and, where the value is given, the most to pay."""
    given = read("list of items", _EXAMPLE)
    fields = given.fields(
        ("items", "rate"),
        (
            *("correlation", "seed", "draws", "percentile"),
            *("value", "claims", "margin", "structure"),
        ),
    )
    items = _items(fields["items"])
    terms = _terms(fields, len(items))
    stakes = _stakes(fields["claims"]) if "claims" in fields else []
    value = _money(fields["value"]) if "value" in fields else None
    margin = _money(fields["margin"]) if "margin" in fields else 0.0
    failed = "structure" in fields and fields["structure"].choice(("sound", "failed")) == "failed"
    cost, spread = moments(items, terms), simulate(items, terms)
    most = None
    if value is not None:
        most = offer(
            value,
            stakes,
            spread.at,
            margin,
            percentile=terms.percentile,
            structure_failed=failed,
        )
    warning = STRUCTURE_FAILED if failed else ""
    if args.json:
        from checkrun.commands.context import print_json

        print_json(price_as_data(cost, spread, terms, most, warning))
        return 0
    from checkrun.report.glyphs import glyphs_for
    from checkrun.report.money import rows

    glyphs = glyphs_for(getattr(sys.stdout, "encoding", None))
    print("\n".join(rows(cost, spread, terms, most, glyphs, warning=warning)))
    return 0


def _items(given: Given) -> list[Item]:
    found: dict[str, Item] = {}
    entries = given.items()
    if len(entries) > _MOST_ITEMS:
        given.refuse(f"{len(entries)} items are too many; {_MOST_ITEMS} are enough for a car")
    for entry in entries:
        fields = entry.fields(("id",), ("chance", "together", "hours", "parts"))
        name = _once(fields["id"], found)
        if "hours" not in fields and "parts" not in fields:
            entry.refuse("`hours` or `parts` is missing here")
        found[name] = Item(
            name,
            _range(fields["hours"], _MOST_HOURS) if "hours" in fields else _NOTHING,
            _range(fields["parts"], _MOST_MONEY) if "parts" in fields else _NOTHING,
            _share(fields["chance"]) if "chance" in fields else 1.0,
            _group(fields["together"]) if "together" in fields else "",
        )
    return list(found.values())


def _terms(fields: dict[str, Given], items: int) -> Terms:
    usual = Terms(_money(fields["rate"]))
    draws = fields["draws"].whole(*_DRAWS) if "draws" in fields else usual.draws
    if draws * items > _MOST_WORK:
        fields["draws" if "draws" in fields else "items"].refuse(
            f"{draws} draws of {items} items are too many; {_MOST_WORK // items} draws are possible"
        )
    return Terms(
        rate=usual.rate,
        correlation=_share(fields["correlation"]) if "correlation" in fields else usual.correlation,
        seed=fields["seed"].whole(0, 2**32 - 1) if "seed" in fields else usual.seed,
        draws=draws,
        percentile=_percentile(fields["percentile"])
        if "percentile" in fields
        else usual.percentile,
    )


def _percentile(given: Given) -> float:
    """As per cent; below 1 it is a share."""
    value = given.number(above=0, below=100)
    # Rounded, for 0.55 * 100 is not 55.
    return round(value * 100, 9) if value < 1 else value


def _stakes(given: Given) -> list[Stake]:
    found: dict[str, Stake] = {}
    for entry in given.items():
        fields = entry.fields(("id", "stake", "probability"))
        name = _once(fields["id"], found)
        found[name] = Stake(name, _money(fields["stake"]), _share(fields["probability"]))
    return list(found.values())


def _once(given: Given, seen: dict[str, Any]) -> str:
    name = given.name()
    if name in seen:
        given.refuse(f"`{name}` is there twice; keep one of the two")
    return name


def _group(given: Given) -> str:
    return "" if given.value == "" else given.name()


def _range(given: Given, most: float) -> Range:
    low, likely, high = (item.number(least=0, most=most) for item in given.items(3))
    if not low <= likely <= high:
        given.refuse(f"low, likely and high must rise, and {low:g}, {likely:g}, {high:g} do not")
    return low, likely, high


def _money(given: Given) -> float:
    return given.number(least=0, most=_MOST_MONEY)


def _share(given: Given) -> float:
    return given.number(least=0, most=1)
