"""The parts of a route as lines of YAML that read back as the same parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from checkrun.route.agreement import YEAR, parse
from checkrun.route.flat import metres
from checkrun.route.model import CHANCE, Check, Claim, Fact, Mark, MarkField, Only, Route, Station
from checkrun.route.written import entry, item


def car_lines(route: Route) -> Iterator[str]:
    """Outline and facts, as they stand under `car`; then the order and the safety notes."""
    outline = route.outline
    measures = {
        "length": metres(outline.length),
        "width": metres(outline.width),
        "wheelbase": metres(outline.wheelbase),
        "front-overhang": metres(outline.front_overhang),
    }
    yield from entry("outline", measures, 2)
    if route.facts:
        yield "  facts:"
    for fact in route.facts:
        yield from item(_fact(fact), 4)
    yield f"order: {route.order.value}"
    if route.safety:
        yield "safety:"
    for note in route.safety:
        yield from item(note, 2)


def _fact(fact: Fact) -> dict[str, Any]:
    return _kept(
        {
            "id": fact.id,
            "ask": fact.ask,
            "kind": fact.kind if fact.kind != "text" else "",
            "choices": fact.choices,
            "mark": fact.mark,
            "required": "yes" if fact.required else "",
            "example": fact.example,
        }
    )


def mark_lines(mark: Mark, route: Route) -> Iterator[str]:
    """A mark, as it stands under `marks`.

    What agrees with a field or a fact that layers took away is left to them.
    """
    yield f"  {mark.id}:"
    for key, text in (("title", mark.title), ("where", mark.where)):
        if text:
            yield from entry(key, text, 4)
    if mark.fields:
        yield "    fields:"
    for field in mark.fields:
        yield from item(_field(field), 6)
    fields = {field.name or f"field {at}" for at, field in enumerate(mark.fields, 1)}
    known = {YEAR, *(fact.id for fact in route.facts)}
    agrees = {
        name: wanted
        for name, wanted in mark.agrees_with
        if name in fields and parse(wanted).name in known
    }
    if agrees:
        yield from entry("agrees-with", agrees, 4)
    if mark.restamped is not None:
        yield f"    restamped: {mark.restamped}"
    if mark.source:
        yield from entry("source", mark.source, 4)


def _field(field: MarkField) -> dict[str, Any]:
    return _kept(
        {
            "name": field.name,
            "text": field.text,
            "digits": field.digits or "",
            "letters": field.letters or "",
            "means": field.means,
            "values": dict(field.values),
            "range": field.range,
        }
    )


def claim_lines(claim: Claim) -> Iterator[str]:
    """A claim, as it stands under `claims`."""
    found = {"id": claim.id, "says": claim.says, "before": claim.before, "matters": claim.matters}
    yield from item(_kept({**found, "only": _only(claim.only)}), 2)


def station_lines(station: Station, place: str = "") -> Iterator[str]:
    """A station without its checks.

    Args:
        station: The station.
        place: The name of its place; without it there is the id alone.
    """
    yield f"  - id: {station.id}  # {one_line(station.title)}"
    if place:
        yield from entry("title", station.title, 4)
        yield f"    place: {place}"
        if station.needs:
            yield from entry("needs", dict(station.needs), 4)
        if station.caution:
            yield from entry("caution", station.caution, 4)
    if station.checks:
        yield "    checks:"


def check_lines(check: Check, *, whole: bool) -> Iterator[str]:
    """A check with every key it has, or with its pass, its reading and its source."""
    yield f"      - id: {check.id}  # {one_line(check.ask)}"
    texts = {"ask": check.ask, "how": check.how} if whole else {}
    texts["pass"] = check.on_pass
    if whole:
        texts |= {"concern": check.on_concern, "fail": check.on_fail}
        texts |= {"why": check.why, "caution": check.caution}
    for key, text in texts.items():
        if text:
            yield from entry(key, text, 8)
    if check.reading is not None:
        unit = {"unit": check.reading.unit} if check.reading.unit else {}
        yield from entry("reading", {"kind": check.reading.kind, **unit, **check.reading.spec}, 8)
    if whole:
        yield from _weighed(check)
    # Whoever changes a limit has another source for it.
    if check.source and (whole or check.reading is not None):
        yield from entry("source", check.source, 8)


def _weighed(check: Check) -> Iterator[str]:
    if check.tools:
        yield from entry("tools", check.tools, 8)
    yield f"        class: {check.severity.value}"
    yield f"        group: {check.group.value}"
    yield f"        minutes: {check.minutes}"
    cost = check.cost
    if cost is not None:
        found = {"hours": cost.hours, "parts": cost.parts, "together": cost.together}
        chance = None if cost.chance == CHANCE else cost.chance
        more = {"chance": chance, "base-rate": cost.base_rate}
        yield from entry("cost", _kept({**found, **more}), 8)
    if check.signs:
        yield "        signs:"
    for sign in check.signs:
        rows = {"pass": sign.on_pass, "concern": sign.on_concern, "fail": sign.on_fail}
        said = {"claim": sign.claim, "cause": sign.cause, **rows, "only": _only(sign.only)}
        yield from item(_kept(said), 10)
    if check.only != Only():
        yield from entry("only", _only(check.only), 8)


def _only(only: Only) -> dict[str, Any]:
    years = {} if only.years is None else {"years": str(only.years)}
    return years | ({"facts": dict(only.facts)} if only.facts else {})


def _kept(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value not in ("", None, (), {}, [])}


def one_line(text: str) -> str:
    """A text for a comment: on one line."""
    return " ".join(text.split())
