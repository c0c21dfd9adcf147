"""The keys of route format 1, what each means, and the model values made of them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from checkrun.route.model import (
    STATE_VALUES,
    Check,
    Claim,
    Cost,
    Fact,
    Group,
    Mark,
    MarkField,
    Order,
    Outline,
    Place,
    Reading,
    Severity,
    Sign,
)
from checkrun.route.nodes import Map, Node, Scalar
from checkrun.route.numbers import number, real, whole
from checkrun.route.problems import nearest
from checkrun.route.read import (
    Key,
    Reader,
    as_written,
    bare,
    filled,
    ident,
    list_of,
    one_of,
    only,
    pairs_of,
    run_of,
    text,
    years,
    yes_no,
)

FORMAT = 1

#: The reading kinds and the keys each may have beside the common ones.
READING_KINDS: dict[str, tuple[str, ...]] = {
    "measure": ("pass", "fail", "limit"),
    "gaps": ("points", "side-difference", "taper"),
    "film": ("thin-below", "filler-above", "panels"),
    "cylinders": ("measure", "count", "limit-percent"),
    "tread": ("least", "tyres", "limit"),
    "diagonals": ("length", "limit"),
    "wall": ("nominal", "gauge", "limit-percent"),
    "toe": ("rim-diameter", "limit"),
    "camber-caster": ("steer",),
    "lash": ("wheel-diameter", "limit"),
    "runout": ("at-most",),
    "battery": ("rested",),
    "stamp": ("mark",),
    "date-code": ("mark", "window-days", "span"),
    "vin": (),
    "tyre-age": (),
    "tyre-size": ("fitted",),
    "timed": ("seconds", "at-most-per-minute"),
    "signs-seen": ("choices",),
    "yes-no": ("choices",),
    "count": ("choices",),
}
_READING_COMMON = ("kind", "unit", "resolution", "uncertainty", "tool", "hold")

_positive = number("0", open_ended=True)
_probability = number(
    "0",
    "1",
    open_ended=True,
    hint="Nothing is quite certain: write 0.01 at least and 0.99 at most.",
)
_share = number("0", "1")
_fact_kinds = {kind: kind for kind in ("text", "yes-no", "number", "choice")}


def _format(reader: Reader, node: Node) -> int | None:
    if isinstance(node, Scalar) and node.text == str(FORMAT):
        return FORMAT
    found = f"`{node.text[:20]}`" if isinstance(node, Scalar) else "this"
    reader.tell(node, "R030", f"format {found} is not known here", f"Write `format: {FORMAT}`.")
    return None


def _reading(reader: Reader, node: Node) -> Reading | None:
    if not isinstance(node, Map):
        reader.shape(node, "a reading written as `key: value` pairs")
        return None
    kind_node = node.get("kind")
    if kind_node is None:
        hint = f"kind: one of {', '.join(READING_KINDS)}."
        reader.tell(node, "R021", "a reading has no `kind`", hint)
        return None
    kind = one_of({name: name for name in READING_KINDS})(reader, kind_node)
    if kind is None:
        return None
    known = (*_READING_COMMON, *READING_KINDS[kind])
    spec: dict[str, Any] = {}
    unit = ""
    for name, (key_node, value) in node.entries.items():
        if name not in known:
            hint = nearest(name, known) or f"Known here: {', '.join(known)}."
            reader.tell(key_node, "R020", f"`{name}` is not a key of a `{kind}` reading", hint)
        elif name == "unit":
            unit = bare(reader, value) or ""
        elif name != "kind":
            spec[name] = as_written(reader, value)
    return Reading(kind, unit, spec)


_three = run_of(
    3, number("0"), "a range of low, likely and high", "three numbers in brackets: [1, 2, 4]"
)


def _rising(reader: Reader, node: Node) -> tuple[Decimal, Decimal, Decimal] | None:
    values = _three(reader, node)
    if values is None:
        return None
    low, likely, high = values
    if not low <= likely <= high:
        reader.tell(
            node,
            "R024",
            "low, likely and high must rise",
            f"Write [{', '.join(str(value) for value in sorted(values))}].",
        )
        return None
    return low, likely, high


COST_KEYS: dict[str, Key] = {
    "hours": Key(_rising, "low, likely and high hours of work", required=True),
    "parts": Key(_rising, "low, likely and high price of parts", required=True),
}


def _cost(reader: Reader, node: Node) -> Cost | None:
    values = reader.keys(node, COST_KEYS, "`cost`")
    hours, parts = values.get("hours"), values.get("parts")
    return None if hours is None or parts is None else Cost(hours, parts)


_likelihoods = run_of(
    2,
    _probability,
    "how likely this result is if the claim is true, and if it is false,",
    "two numbers in brackets: [0.9, 0.2]",
)

SIGN_KEYS: dict[str, Key] = {
    "claim": Key(ident, "the claim it speaks for or against", required=True),
    "cause": Key(ident, "signs of the same cause are not independent"),
    "pass": Key(_likelihoods, "likelihoods of a pass: [claim true, claim false]"),
    "concern": Key(_likelihoods, "likelihoods of a concern: [claim true, claim false]"),
    "fail": Key(_likelihoods, "likelihoods of a fail: [claim true, claim false]"),
    "only": Key(only, "the cars it applies to"),
}
_SIGN_NAMES = (
    ("cause", "cause"),
    ("pass", "on_pass"),
    ("concern", "on_concern"),
    ("fail", "on_fail"),
    ("only", "only"),
)


def _sign(reader: Reader, node: Node) -> Sign | None:
    values = reader.keys(node, SIGN_KEYS, "a sign")
    if values.get("claim") is None:
        return None
    return Sign(values["claim"], **filled(values, _SIGN_NAMES))


CHECK_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name, unlike any other in the route", required=True),
    "ask": Key(text, "what to look at, in a few words", required=True),
    "how": Key(text, "how to look: tool, where, how to hold it", required=True),
    "pass": Key(text, "what a pass looks like", required=True),
    "concern": Key(text, "what a concern looks like", required=True),
    "fail": Key(text, "what a fail looks like", required=True),
    "why": Key(text, "what it tells"),
    "caution": Key(text, "what can hurt, and how not to be hurt"),
    "reading": Key(_reading, "what is measured or read here"),
    "tools": Key(list_of(text), "what to bring"),
    "class": Key(
        one_of({s.value: s for s in Severity}), "minor, major or dangerous", required=True
    ),
    "group": Key(
        one_of({g.value: g for g in Group}),
        "structure, safety, identity, body, mechanical or trim",
        required=True,
    ),
    "minutes": Key(_positive, "how long it usually takes"),
    "cost": Key(_cost, "hours and parts to put it right"),
    "signs": Key(list_of(_sign), "what the result says of claims"),
    "source": Key(text, "where it comes from, or `common practice`", required=True),
    "only": Key(only, "the cars it applies to"),
    "after": Key(ident, "the check of the same station it stands behind"),
}
_CHECK_NAMES = (
    ("id", "id"),
    ("ask", "ask"),
    ("how", "how"),
    ("pass", "on_pass"),
    ("concern", "on_concern"),
    ("fail", "on_fail"),
    ("why", "why"),
    ("caution", "caution"),
    ("reading", "reading"),
    ("tools", "tools"),
    ("class", "severity"),
    ("group", "group"),
    ("minutes", "minutes"),
    ("cost", "cost"),
    ("signs", "signs"),
    ("source", "source"),
    ("only", "only"),
)


def read_check(reader: Reader, node: Node) -> tuple[Check | None, str | None]:
    """A check and the id its `after` names."""
    values = reader.keys(node, CHECK_KEYS, "a check")
    if values.get("id") is None or values.get("ask") is None:
        return None, None
    return Check(**filled(values, _CHECK_NAMES)), values.get("after")


NEED_KEYS: dict[str, Key] = {
    part: Key(one_of({value: value for value in options}), " or ".join(options))
    for part, options in STATE_VALUES.items()
}


def _needs(reader: Reader, node: Node) -> tuple[tuple[str, str], ...]:
    values = reader.keys(node, NEED_KEYS, "`needs`")
    return tuple((part, values[part]) for part in STATE_VALUES if values.get(part) is not None)


def _nodes(reader: Reader, node: Node) -> Node:
    """The node itself, for what is read in a later step."""
    return node


STATION_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name, unlike any other in the route", required=True),
    "title": Key(text, "what to call it on screen", required=True),
    "place": Key(ident, "one of `places`", required=True),
    "needs": Key(_needs, "the state the car must be in"),
    "caution": Key(text, "what can hurt here"),
    "after": Key(ident, "a station that must come before it"),
    "only": Key(only, "the cars it applies to"),
    "checks": Key(_nodes, "what is looked at from here", required=True),
}

FIELD_KEYS: dict[str, Key] = {
    "name": Key(ident, "what the characters are called"),
    "text": Key(bare, "characters that are always the same"),
    "digits": Key(whole("1", "20"), "how many digits"),
    "letters": Key(whole("1", "20"), "how many letters"),
    "means": Key(text, "what they say"),
    "values": Key(pairs_of(bare), "what single values mean"),
    "range": Key(bare, "first and last number, such as 1-31"),
}


def _field(reader: Reader, node: Node) -> MarkField | None:
    values = reader.keys(node, FIELD_KEYS, "a field of a mark")
    if not isinstance(node, Map):
        return None
    kinds = [key for key in ("text", "digits", "letters") if key in values]
    if len(kinds) != 1:
        reader.tell(
            node,
            "R031",
            "a field needs just one of `text`, `digits`, `letters`",
            "Write one field for each run of characters.",
        )
        return None
    if values[kinds[0]] is None:
        return None
    return MarkField(
        name=values.get("name") or "",
        text=values.get("text") or "",
        digits=values.get("digits") or 0,
        letters=values.get("letters") or 0,
        means=values.get("means") or "",
        values=values.get("values") or (),
        range=values.get("range") or "",
    )


MARK_KEYS: dict[str, Key] = {
    "title": Key(text, "what it is called", required=True),
    "where": Key(text, "where on the car it is"),
    "fields": Key(list_of(_field), "its runs of characters from left to right", required=True),
    "agrees-with": Key(pairs_of(bare), "what a field must agree with on this car"),
    "restamped": Key(_share, "share of later parts that carry an agreeing stamp"),
    "source": Key(text, "where the rule comes from, or `common practice`", required=True),
}
_MARK_NAMES = (
    ("title", "title"),
    ("where", "where"),
    ("fields", "fields"),
    ("agrees-with", "agrees_with"),
    ("restamped", "restamped"),
    ("source", "source"),
)


def read_mark(reader: Reader, name: str, node: Node) -> Mark | None:
    """A mark by its key in `marks`."""
    values = reader.keys(node, MARK_KEYS, "a mark")
    return Mark(name, **filled(values, _MARK_NAMES)) if values.get("title") else None


FACT_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name", required=True),
    "ask": Key(text, "the question", required=True),
    "kind": Key(one_of(_fact_kinds), "text, yes-no, number or choice"),
    "choices": Key(list_of(bare), "the answers of a choice"),
    "mark": Key(ident, "the mark that the answer must fit"),
    "required": Key(yes_no, "yes if the walk can't start without it"),
    "example": Key(bare, "an answer as it is written"),
}
_FACT_NAMES = tuple((key, key) for key in FACT_KEYS)


def read_fact(reader: Reader, node: Node) -> Fact | None:
    """A fact asked at the intake."""
    values = reader.keys(node, FACT_KEYS, "a fact")
    if values.get("id") is None or values.get("ask") is None:
        return None
    fact = Fact(**filled(values, _FACT_NAMES))
    if fact.kind == "choice" and not fact.choices:
        reader.tell(node, "R021", "a choice has no `choices`", "choices: [one, other]")
    return fact


OUTLINE_KEYS: dict[str, Key] = {
    "length": Key(real, "metres", required=True),
    "width": Key(real, "metres", required=True),
    "wheelbase": Key(real, "metres", required=True),
    "front-overhang": Key(real, "metres from the front axle line to the nose", required=True),
}


def _outline(reader: Reader, node: Node) -> Outline | None:
    values = reader.keys(node, OUTLINE_KEYS, "`outline`")
    if any(values.get(key) is None for key in OUTLINE_KEYS):
        return None
    outline = Outline(*(values[key] for key in OUTLINE_KEYS))
    if min(values.values()) <= 0 or outline.wheelbase + outline.front_overhang > outline.length:
        reader.tell(
            node,
            "R024",
            "these measures make no car",
            "All must be above zero, and wheelbase + front-overhang within the length.",
        )
        return None
    return outline


CAR_KEYS: dict[str, Key] = {
    "years": Key(years, "model year or range of them", required=True),
    "outline": Key(_outline, "the car as a box seen from above", required=True),
    "facts": Key(list_of(read_fact), "what is asked before the walk"),
}

CLAIM_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name", required=True),
    "says": Key(text, "what is said of the car", required=True),
    "before": Key(_probability, "share of such cars for which it is true", required=True),
    "matters": Key(_share, "share of the asking price at stake", required=True),
}


def read_claim(reader: Reader, node: Node) -> Claim | None:
    """A claim to be weighed."""
    values = reader.keys(node, CLAIM_KEYS, "a claim")
    if any(values.get(key) is None for key in CLAIM_KEYS):
        return None
    return Claim(values["id"], values["says"], values["before"], values["matters"])


PLACE_KEYS: dict[str, Key] = {
    "x": Key(real, "metres behind the front axle line", required=True),
    "y": Key(real, "metres to the right of the middle", required=True),
    "z": Key(real, "metres above the ground", required=True),
}


def read_place(reader: Reader, node: Node) -> Place | None:
    """A point on the car."""
    values = reader.keys(node, PLACE_KEYS, "a place")
    if any(values.get(key) is None for key in PLACE_KEYS):
        return None
    return Place(values["x"], values["y"], values["z"])


def _car(reader: Reader, node: Node) -> dict[str, Any]:
    return reader.keys(node, CAR_KEYS, "`car`")


ROUTE_KEYS: dict[str, Key] = {
    "format": Key(_format, f"the route format; write {FORMAT}", required=True),
    "id": Key(ident, "the route's name, as in its file's name", required=True),
    "title": Key(text, "what kind of car it is for", required=True),
    "about": Key(text, "one paragraph for whoever chooses a route"),
    "built-on": Key(ident, "the route this one is laid over"),
    "order": Key(one_of({order.value: order for order in Order}), "by-position or as-written"),
    "car": Key(_car, "years, outline and facts", required=True),
    "safety": Key(list_of(text), "notes shown before the walk"),
    "marks": Key(_nodes, "stamped and cast numbers and how to read them"),
    "places": Key(_nodes, "points on the car by name"),
    "stations": Key(_nodes, "where to stand, in the author's order", required=True),
    "claims": Key(list_of(read_claim), "what is said of the car"),
    "drop": Key(list_of(ident), "what a layer takes out of the route below"),
}
