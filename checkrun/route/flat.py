"""The parts of a route as flat `key: value` texts, under the keys of the route format."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from checkrun.route.model import (
    CHANCE,
    Check,
    Claim,
    Cost,
    Fact,
    Mark,
    MarkField,
    Only,
    Reading,
    Route,
    Sign,
    Station,
)

#: What a part says: its keys, such as `reading.pass.at-most`, and their values as texts.
Flat = dict[str, str]


def flat_car(route: Route) -> Flat:
    """The car's outline, the order of the walk and the notes before it."""
    outline = route.outline
    return {
        "outline.length": metres(outline.length),
        "outline.width": metres(outline.width),
        "outline.wheelbase": metres(outline.wheelbase),
        "outline.front-overhang": metres(outline.front_overhang),
        "order": route.order.value,
        **{f"safety.{number}": note for number, note in enumerate(route.safety, 1)},
    }


def flat_fact(fact: Fact) -> Flat:
    """What is asked before the walk."""
    return _said(
        {
            "ask": fact.ask,
            "kind": fact.kind,
            "choices": _listed(fact.choices),
            "mark": fact.mark or "",
            "required": "yes" if fact.required else "",
            "example": fact.example,
        }
    )


def flat_mark(mark: Mark) -> Flat:
    """A mark with its fields in their order."""
    found = {"title": mark.title, "where": mark.where}
    for number, field in enumerate(mark.fields, 1):
        found |= {f"fields.{number}.{key}": text for key, text in _field(field).items()}
    found |= {f"agrees-with.{name}": wanted for name, wanted in mark.agrees_with}
    found["restamped"] = "" if mark.restamped is None else str(mark.restamped)
    found["source"] = mark.source
    return _said(found)


def _field(field: MarkField) -> Flat:
    return {
        "name": field.name,
        "text": field.text,
        "digits": str(field.digits or ""),
        "letters": str(field.letters or ""),
        "means": field.means,
        **{f"values.{name}": meaning for name, meaning in field.values},
        "range": field.range,
    }


def flat_claim(claim: Claim) -> Flat:
    """A claim."""
    return _said(
        {
            "says": claim.says,
            "before": str(claim.before),
            "matters": str(claim.matters),
            **_only(claim.only),
        }
    )


def flat_station(station: Station) -> Flat:
    """A station without its checks."""
    place = station.place
    return _said(
        {
            "title": station.title,
            "place.x": metres(place.x),
            "place.y": metres(place.y),
            "place.z": metres(place.z),
            **{f"needs.{part}": value for part, value in station.needs},
            "caution": station.caution,
            "after": station.after or "",
            **_only(station.only),
        }
    )


def flat_check(check: Check) -> Flat:
    """A check with its reading and limits, its cost and its signs."""
    found = {
        "ask": check.ask,
        "how": check.how,
        "pass": check.on_pass,
        "concern": check.on_concern,
        "fail": check.on_fail,
        "why": check.why,
        "caution": check.caution,
        **_reading(check.reading),
        "tools": _listed(check.tools),
        "class": check.severity.value,
        "group": check.group.value,
        "minutes": str(check.minutes),
        **_cost(check.cost),
    }
    for number, sign in enumerate(check.signs):
        # Two signs of one claim, each for other cars, are told apart by their number.
        again = sum(other.claim == sign.claim for other in check.signs[:number])
        name = f"signs.{sign.claim}" + (f".{again + 1}" if again else "")
        found |= {f"{name}.{key}".rstrip("."): text for key, text in _sign(sign).items()}
    return _said(found | {"source": check.source, **_only(check.only)})


def _reading(reading: Reading | None) -> Flat:
    if reading is None:
        return {}
    found = {"reading.kind": reading.kind, "reading.unit": reading.unit}
    found.update(_spec("reading", reading.spec))
    return found


def _spec(name: str, value: Any) -> Iterator[tuple[str, str]]:
    """The keys of a reading; an empty list or mapping is kept, for it says something."""
    if isinstance(value, dict) and value:
        for key, below in value.items():
            yield from _spec(f"{name}.{key}", below)
    elif isinstance(value, list) and any(isinstance(item, (dict, list)) for item in value):
        for number, below in enumerate(value, 1):
            yield from _spec(f"{name}.{number}", below)
    elif isinstance(value, list):
        yield name, f"[{_listed(value)}]"
    else:
        yield name, str(value) if value != {} else "{}"


def _cost(cost: Cost | None) -> Flat:
    if cost is None:
        return {}
    return {
        "cost.hours": _listed(cost.hours),
        "cost.parts": _listed(cost.parts),
        "cost.chance": "" if cost.chance == CHANCE else str(cost.chance),
        "cost.base-rate": "" if cost.base_rate is None else str(cost.base_rate),
        "cost.together": cost.together,
    }


def _sign(sign: Sign) -> Flat:
    rows = {"pass": sign.on_pass, "concern": sign.on_concern, "fail": sign.on_fail}
    return {
        "": "is there",
        "cause": sign.cause,
        **{key: "" if row is None else _listed(row) for key, row in rows.items()},
        **_only(sign.only),
    }


def _only(only: Only) -> Flat:
    years = {} if only.years is None else {"only.years": str(only.years)}
    return years | {f"only.facts.{name}": answer for name, answer in only.facts}


def _listed(values: tuple[Any, ...] | list[Any]) -> str:
    return ", ".join(str(value) for value in values)


def metres(value: float) -> str:
    """A position or measure as a route writes it: digits and a point, never a power of ten."""
    return f"{Decimal(repr(value)):f}"


def _said(flat: Flat) -> Flat:
    """Without what is empty."""
    return {key: text for key, text in flat.items() if text != ""}
