"""Routes as plain data and back: what the cache holds and what a session keeps as its copy.

Numbers written by an author stay exact (texts of decimals); empty values are left out.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from checkrun.route.model import (
    CHANCE,
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

_SEVERITIES = {severity.value: severity for severity in Severity}
_GROUPS = {group.value: group for group in Group}
_EVERY_CAR = Only()


def to_data(route: Route) -> dict[str, Any]:
    """The route as JSON-ready data; `from_data` gives the same route back."""
    outline = route.outline
    return {
        "id": route.id,
        "title": route.title,
        "years": [route.years.first, route.years.last],
        "outline": [outline.length, outline.width, outline.wheelbase, outline.front_overhang],
        "about": route.about,
        "built_on": list(route.built_on),
        "order": route.order.value,
        "facts": [_fact_to_data(fact) for fact in route.facts],
        "safety": list(route.safety),
        "marks": [_mark_to_data(mark) for mark in route.marks],
        "stations": [_station_to_data(station) for station in route.stations],
        "claims": [_claim_to_data(claim) for claim in route.claims],
    }


def from_data(data: dict[str, Any]) -> Route:
    """The route that `to_data` was given.

    Raises:
        KeyError, TypeError, ValueError: If the data were not made by `to_data`.
    """
    return Route(
        id=data["id"],
        title=data["title"],
        years=Years(*data["years"]),
        outline=Outline(*data["outline"]),
        about=data["about"],
        built_on=tuple(data["built_on"]),
        order=Order(data["order"]),
        facts=tuple(_fact_from_data(fact) for fact in data["facts"]),
        safety=tuple(data["safety"]),
        marks=tuple(_mark_from_data(mark) for mark in data["marks"]),
        stations=tuple(_station_from_data(station) for station in data["stations"]),
        claims=tuple(
            Claim(
                claim_id,
                says,
                Decimal(before),
                Decimal(matters),
                _only_from_data(*more[:1]),
                *more[1:],
            )
            for claim_id, says, before, matters, *more in data["claims"]
        ),
    )


def _kept(values: dict[str, Any]) -> dict[str, Any]:
    """The values that say something: no empty texts, lists or absences."""
    return {key: value for key, value in values.items() if value not in (None, "", [], {})}


def _only_to_data(only: Only) -> list[Any] | None:
    if only == _EVERY_CAR:
        return None
    years = None if only.years is None else [only.years.first, only.years.last]
    return [years, [list(pair) for pair in only.facts]]


def _claim_to_data(claim: Claim) -> list[Any]:
    """A claim; what older copies do not have is written only where there is something to write."""
    only = None if claim.only == _EVERY_CAR else _only_to_data(claim.only)
    more = [only, claim.short] if claim.short else [only] if only is not None else []
    return [claim.id, claim.says, str(claim.before), str(claim.matters), *more]


def _only_from_data(data: list[Any] | None = None) -> Only:
    if data is None:
        return _EVERY_CAR
    years, facts = data
    return Only(None if years is None else Years(*years), tuple((k, v) for k, v in facts))


def _fact_to_data(fact: Fact) -> dict[str, Any]:
    return _kept(
        {
            "id": fact.id,
            "ask": fact.ask,
            "kind": fact.kind,
            "choices": list(fact.choices),
            "mark": fact.mark,
            "required": fact.required,
            "example": fact.example,
        }
    )


def _fact_from_data(data: dict[str, Any]) -> Fact:
    return Fact(**{**data, "choices": tuple(data.get("choices", ()))})


def _mark_to_data(mark: Mark) -> dict[str, Any]:
    fields = [
        _kept(
            {
                "name": part.name,
                "text": part.text,
                "digits": part.digits or None,
                "letters": part.letters or None,
                "means": part.means,
                "values": [list(pair) for pair in part.values],
                "range": part.range,
            }
        )
        for part in mark.fields
    ]
    return _kept(
        {
            "id": mark.id,
            "title": mark.title,
            "where": mark.where,
            "fields": fields,
            "agrees_with": [list(pair) for pair in mark.agrees_with],
            "restamped": None if mark.restamped is None else str(mark.restamped),
            "source": mark.source,
        }
    )


def _mark_from_data(data: dict[str, Any]) -> Mark:
    fields = tuple(
        MarkField(**{**part, "values": tuple((k, v) for k, v in part.get("values", ()))})
        for part in data.get("fields", ())
    )
    restamped = data.get("restamped")
    return Mark(
        id=data["id"],
        title=data.get("title", ""),
        where=data.get("where", ""),
        fields=fields,
        agrees_with=tuple((k, v) for k, v in data.get("agrees_with", ())),
        restamped=None if restamped is None else Decimal(restamped),
        source=data.get("source", ""),
    )


def _station_to_data(station: Station) -> dict[str, Any]:
    place = station.place
    return _kept(
        {
            "id": station.id,
            "title": station.title,
            "place": [place.x, place.y, place.z],
            "needs": [list(pair) for pair in station.needs],
            "caution": station.caution,
            "after": station.after,
            "only": _only_to_data(station.only),
            "checks": [_check_to_data(check) for check in station.checks],
        }
    )


def _station_from_data(data: dict[str, Any]) -> Station:
    return Station(
        id=data["id"],
        title=data.get("title", ""),
        place=Place(*data["place"]),
        needs=tuple((part, value) for part, value in data.get("needs", ())),
        caution=data.get("caution", ""),
        after=data.get("after"),
        only=_only_from_data(data.get("only")),
        checks=tuple(_check_from_data(check) for check in data.get("checks", ())),
    )


def _check_to_data(check: Check) -> dict[str, Any]:
    reading, cost = check.reading, check.cost
    return _kept(
        {
            "id": check.id,
            "ask": check.ask,
            "how": check.how,
            "pass": check.on_pass,
            "concern": check.on_concern,
            "fail": check.on_fail,
            "why": check.why,
            "caution": check.caution,
            "reading": None if reading is None else [reading.kind, reading.unit, reading.spec],
            "tools": list(check.tools),
            "class": check.severity.value,
            "group": check.group.value,
            "minutes": str(check.minutes),
            "cost": None if cost is None else _cost_to_data(cost),
            "signs": [_sign_to_data(sign) for sign in check.signs],
            "source": check.source,
            "only": _only_to_data(check.only),
        }
    )


def _check_from_data(data: dict[str, Any]) -> Check:
    get = data.get
    reading, cost = get("reading"), get("cost")
    return Check(
        data["id"],
        get("ask", ""),
        get("how", ""),
        get("pass", ""),
        get("concern", ""),
        get("fail", ""),
        get("why", ""),
        get("caution", ""),
        None if reading is None else Reading(*reading),
        tuple(get("tools", ())),
        _SEVERITIES[data["class"]],
        _GROUPS[data["group"]],
        Decimal(data["minutes"]),
        None if cost is None else _cost_from_data(*cost),
        tuple([_sign_from_data(sign) for sign in get("signs", ())]),
        get("source", ""),
        _only_from_data(get("only")),
    )


def _cost_to_data(cost: Cost) -> list[Any]:
    """Hours and parts, then what is not as it is by default: a route without keeps its bytes."""
    more = _kept(
        {
            "chance": None if cost.chance == CHANCE else str(cost.chance),
            "base_rate": None if cost.base_rate is None else str(cost.base_rate),
            "together": cost.together,
        }
    )
    ranges: list[Any] = [[str(value) for value in part] for part in (cost.hours, cost.parts)]
    return [*ranges, more] if more else ranges


def _cost_from_data(hours: list[str], parts: list[str], more: dict[str, str] | None = None) -> Cost:
    if not more:
        return Cost(_triple(hours), _triple(parts))
    base_rate = more.get("base_rate")
    return Cost(
        _triple(hours),
        _triple(parts),
        Decimal(more["chance"]) if "chance" in more else CHANCE,
        None if base_rate is None else Decimal(base_rate),
        more.get("together", ""),
    )


def _triple(texts: list[str]) -> tuple[Decimal, Decimal, Decimal]:
    low, likely, high = texts
    return Decimal(low), Decimal(likely), Decimal(high)


def _sign_to_data(sign: Sign) -> list[Any]:
    rows = [
        None if row is None else [str(value) for value in row]
        for row in (sign.on_pass, sign.on_concern, sign.on_fail)
    ]
    return [sign.claim, sign.cause, *rows, _only_to_data(sign.only)]


def _sign_from_data(data: list[Any]) -> Sign:
    claim, cause, on_pass, on_concern, on_fail, only = data
    return Sign(
        claim,
        cause,
        _pair(on_pass),
        _pair(on_concern),
        _pair(on_fail),
        _only_from_data(only),
    )


def _pair(texts: list[str] | None) -> tuple[Decimal, Decimal] | None:
    return None if texts is None else (Decimal(texts[0]), Decimal(texts[1]))
