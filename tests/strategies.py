"""Hypothesis strategies for routes: as YAML an author could have written, and as model values."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from checkrun.route.model import (
    STATE_VALUES,
    Check,
    Claim,
    Cost,
    Fact,
    Group,
    Mark,
    MarkField,
    Only,
    Order,
    Outline,
    Place,
    Reading,
    Route,
    Severity,
    Sign,
    Station,
    Years,
)

#: Letters, marks, digits, signs and blanks of every script; no control characters.
_SIGNS = st.characters(categories=["L", "M", "N", "P", "S", "Zs"], exclude_characters="\ufeff")
texts = st.text(_SIGNS, min_size=1, max_size=30).filter(lambda text: text.strip() != "")
ids = st.from_regex(r"[a-z0-9]{1,6}(-[a-z0-9]{1,4}){0,2}", fullmatch=True)
shares = st.decimals("0.001", "0.999", places=3)
amounts = st.decimals(0, 9999, places=2)
positions = st.decimals("-3", "5", places=2)


@dataclass(frozen=True, slots=True)
class Bare:
    """A scalar to be written without quotes."""

    text: str


def _word(value: Any) -> Bare:
    return Bare(str(value))


def to_yaml(data: Any, indent: int = 0) -> str:
    """The data as block YAML, every scalar on a line of its own, texts in double quotes."""
    margin = " " * indent
    if isinstance(data, dict):
        return "".join(f"{margin}{key}:{_below(value, indent)}" for key, value in data.items())
    lines = []
    for item in data:
        if isinstance(item, (dict, list)):
            lines.append(f"{margin}-{to_yaml(item, indent + 2)[indent + 1 :]}")
        else:
            lines.append(f"{margin}- {_scalar(item)}\n")
    return "".join(lines)


def _below(value: Any, indent: int) -> str:
    if isinstance(value, (dict, list)):
        return f"\n{to_yaml(value, indent + 2)}" if value else " []\n"
    return f" {_scalar(value)}\n"


def _scalar(value: Bare | str) -> str:
    if isinstance(value, Bare):
        return value.text
    return json.dumps(value, ensure_ascii=False)


def _column(count: int) -> st.SearchStrategy[list[Decimal]]:
    """Likelihoods of so many results, none certain, 1 together but for what rounding may leave."""
    cuts = st.lists(st.integers(1, 999), min_size=count - 1, max_size=count - 1, unique=True)
    return st.tuples(cuts, st.integers(-5, 5)).map(_parts).filter(lambda column: min(column) > 0)


def _parts(drawn: tuple[list[int], int]) -> list[Decimal]:
    cuts, rounding = drawn
    ends = [0, *sorted(cuts), 1000]
    widths = [high - low for low, high in pairwise(ends)]
    widths[-1] = min(widths[-1] + rounding, 999)
    return [Decimal(width) / 1000 for width in widths]


@st.composite
def _written_sign(draw: st.DrawFn, claim: str) -> dict[str, Any]:
    results = draw(st.sampled_from([("pass", "concern", "fail"), ("pass", "fail")]))
    column = _column(len(results))
    true, false = draw(st.tuples(column, column).filter(lambda two: two[0] != two[1]))
    rows = {
        result: [_word(if_true), _word(if_false)]
        for result, if_true, if_false in zip(results, true, false, strict=True)
    }
    return {"claim": _word(claim), **rows}


@st.composite
def _written_check(draw: st.DrawFn, name: str, claims: list[str], facts: list[str]) -> Any:
    check: dict[str, Any] = {"id": _word(name)}
    for key in ("ask", "how", "pass", "concern", "fail", "source"):
        check[key] = draw(texts)
    for key in ("why", "caution"):
        if draw(st.booleans()):
            check[key] = draw(texts)
    check["class"] = _word(draw(st.sampled_from(Severity)).value)
    check["group"] = _word(draw(st.sampled_from(Group)).value)
    check["minutes"] = _word(draw(st.decimals("0.1", "90", places=1)))
    if draw(st.booleans()):
        check["cost"] = {
            key: [_word(value) for value in sorted(draw(st.tuples(amounts, amounts, amounts)))]
            for key in ("hours", "parts")
        }
        for key in ("chance", "base-rate"):
            if draw(st.booleans()):
                check["cost"][key] = _word(draw(shares))
    if claims and draw(st.booleans()):
        check["signs"] = [draw(_written_sign(draw(st.sampled_from(claims))))]
    if facts and draw(st.booleans()):
        check["only"] = {"facts": {draw(st.sampled_from(facts)): _word("yes")}}
    if draw(st.booleans()):
        check["reading"] = {"kind": _word("measure"), "unit": "mm", "tool": draw(texts)}
    return check


@st.composite
def _shared(draw: st.DrawFn, checks: list[Any], claims: list[str]) -> None:
    """See that each claim has a sign, and that causes and keys of labour are shared by two."""
    for claim in claims:
        about = [
            sign
            for check in checks
            for sign in check.get("signs", [])
            if sign["claim"].text == claim
        ]
        if not about:
            checks[0].setdefault("signs", []).append(draw(_written_sign(claim)))
        if len(about) > 1 and draw(st.booleans()):
            cause = draw(ids)
            for sign in about[:2]:
                sign["cause"] = _word(cause)
    costs = [check["cost"] for check in checks if "cost" in check]
    if len(costs) > 1 and draw(st.booleans()):
        key = draw(ids)
        for cost in costs[:2]:
            cost["together"] = _word(key)


@st.composite
def written_routes(draw: st.DrawFn, name: str = "made") -> dict[str, Any]:
    """A route without any mistake, as data for `to_yaml`."""
    first, last = sorted(draw(st.tuples(*[st.integers(1880, 2100)] * 2)))
    claims = draw(st.lists(ids, max_size=2, unique=True))
    facts = draw(st.lists(ids, max_size=2, unique=True))
    places = draw(st.lists(ids, min_size=1, max_size=4, unique=True))
    station_ids = draw(st.lists(ids, min_size=1, max_size=4, unique=True))
    check_ids = iter(draw(st.lists(ids, min_size=8, max_size=8, unique=True)))
    stations: list[dict[str, Any]] = []
    for station_id in station_ids:
        station: dict[str, Any] = {
            "id": _word(station_id),
            "title": draw(texts),
            "place": _word(draw(st.sampled_from(places))),
        }
        needs = draw(st.sets(st.sampled_from(sorted(STATE_VALUES))))
        if needs:
            station["needs"] = {
                part: _word(draw(st.sampled_from(STATE_VALUES[part]))) for part in sorted(needs)
            }
        if stations and draw(st.booleans()):
            station["after"] = draw(st.sampled_from(stations))["id"]
        station["checks"] = [
            draw(_written_check(next(check_ids), claims, facts))
            for _ in range(draw(st.integers(1, 2)))
        ]
        stations.append(station)
    draw(_shared([check for station in stations for check in station["checks"]], claims))
    return {
        "format": _word(1),
        "id": _word(name),
        "title": draw(texts),
        "about": draw(texts),
        "order": _word(draw(st.sampled_from(Order)).value),
        "car": {
            "years": _word(f"{first}-{last}"),
            "outline": {
                "length": _word("4.1"),
                "width": _word("1.68"),
                "wheelbase": _word("2.45"),
                "front-overhang": _word("0.72"),
            },
            "facts": [
                {"id": _word(fact), "ask": draw(texts), "kind": _word("yes-no")} for fact in facts
            ],
        },
        "places": {
            place: {axis: _word(draw(positions)) for axis in ("x", "y", "z")} for place in places
        },
        "stations": stations,
        "claims": [
            {
                "id": _word(claim),
                "says": draw(texts),
                "before": _word(draw(shares)),
                # All of them together put no more at stake than there is.
                "matters": _word(draw(st.decimals("0.001", "0.5", places=3))),
            }
            for claim in claims
        ],
    }


_any_text = st.text(_SIGNS, max_size=12)
_pairs = st.lists(st.tuples(_any_text, _any_text), max_size=2).map(tuple)
_decimals = st.decimals(-10, 1000, places=2) | st.just(Decimal("1.60")) | st.just(Decimal("0"))
_metres = st.floats(-30, 30)
_years = st.builds(Years, st.integers(1880, 2100), st.integers(1880, 2100))
_onlys = st.builds(Only, st.none() | _years, _pairs)
_triples = st.tuples(_decimals, _decimals, _decimals)
_costs = st.builds(Cost, _triples, _triples) | st.builds(
    Cost, _triples, _triples, _decimals, st.none() | _decimals, _any_text
)
_rows = st.none() | st.tuples(_decimals, _decimals)
_specs = st.dictionaries(
    _any_text,
    st.recursive(
        _any_text,
        lambda inner: st.lists(inner, max_size=2) | st.dictionaries(_any_text, inner, max_size=2),
        max_leaves=4,
    ),
    max_size=3,
)
_facts = st.builds(
    Fact,
    id=ids,
    ask=texts,
    kind=st.sampled_from(["text", "yes-no", "number", "choice"]),
    choices=st.lists(_any_text, max_size=2).map(tuple),
    mark=st.none() | ids,
    required=st.booleans(),
    example=_any_text,
)
_fields = st.builds(
    MarkField,
    name=_any_text,
    text=_any_text,
    digits=st.integers(0, 20),
    letters=st.integers(0, 20),
    means=_any_text,
    values=_pairs,
    range=_any_text,
)
_marks = st.builds(
    Mark,
    id=ids,
    title=_any_text,
    where=_any_text,
    fields=st.lists(_fields, max_size=2).map(tuple),
    agrees_with=_pairs,
    restamped=st.none() | _decimals,
    source=_any_text,
)
_signs = st.builds(Sign, ids, _any_text, _rows, _rows, _rows, _onlys)
_checks = st.builds(
    Check,
    id=ids,
    ask=_any_text,
    how=_any_text,
    on_pass=_any_text,
    on_concern=_any_text,
    on_fail=_any_text,
    why=_any_text,
    caution=_any_text,
    reading=st.none() | st.builds(Reading, _any_text, _any_text, _specs),
    tools=st.lists(_any_text, max_size=2).map(tuple),
    severity=st.sampled_from(Severity),
    group=st.sampled_from(Group),
    minutes=_decimals,
    cost=st.none() | _costs,
    signs=st.lists(_signs, max_size=2).map(tuple),
    source=_any_text,
    only=_onlys,
)
needs = st.fixed_dictionaries(
    {}, optional={part: st.sampled_from(values) for part, values in STATE_VALUES.items()}
).map(lambda chosen: tuple(chosen.items()))
_stations = st.builds(
    Station,
    id=ids,
    title=_any_text,
    place=st.builds(Place, _metres, _metres, _metres),
    needs=needs,
    caution=_any_text,
    after=st.none() | ids,
    only=_onlys,
    checks=st.lists(_checks, max_size=2).map(tuple),
)
#: Routes with every part filled or empty at random; they need make no sense.
model_routes = st.builds(
    Route,
    id=ids,
    title=_any_text,
    years=_years,
    outline=st.builds(Outline, _metres, _metres, _metres, _metres),
    about=_any_text,
    built_on=st.lists(ids, max_size=2).map(tuple),
    order=st.sampled_from(Order),
    facts=st.lists(_facts, max_size=2).map(tuple),
    safety=st.lists(_any_text, max_size=2).map(tuple),
    marks=st.lists(_marks, max_size=2).map(tuple),
    stations=st.lists(_stations, max_size=2).map(tuple),
    claims=st.lists(
        st.builds(Claim, ids, _any_text, _decimals, _decimals, _onlys, _any_text), max_size=2
    ).map(tuple),
)

#: A car of plain measures, for routes that are only walked.
OUTLINE = Outline(4.1, 1.68, 2.45, 0.72)


@st.composite
def walkable_routes(draw: st.DrawFn) -> Route:
    """A route of bare stations anywhere on and round a car, some of them after another."""
    names = draw(st.lists(ids, min_size=1, max_size=8, unique=True))
    steps = st.integers(-20, 80).map(lambda tenths: tenths / 20)
    stations = [
        Station(
            name,
            name,
            Place(draw(steps), draw(st.integers(-24, 24)) / 20, 0.5),
            draw(needs),
            after=draw(st.none() | st.sampled_from(names)),
        )
        for name in names
    ]
    return Route("made", "Made", Years(1966, 1966), OUTLINE, stations=tuple(stations))
