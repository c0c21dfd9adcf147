"""The keys of a check: its texts and reading; what is weighed is read in `schema_weigh`."""

from __future__ import annotations

from typing import Any

from checkrun.route.foreach import FOR_EACH
from checkrun.route.model import (
    Check,
    Group,
    Reading,
    Severity,
)
from checkrun.route.nodes import Map, Node
from checkrun.route.numbers import number
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
    text,
)
from checkrun.route.schema_weigh import read_cost, read_sign
from checkrun.route.shapes import Shape, takes

#: The reading kinds and the keys each may have beside the common ones.
READING_KINDS: dict[str, tuple[str, ...]] = {
    "measure": ("pass", "fail", "limit"),
    "gaps": ("points", "side-difference", "taper"),
    "film": ("thin-below", "filler-above", "panels"),
    "cylinders": ("measure", "count", "limit-percent", "supply", "pass"),
    "tread": ("least", "tyres", "limit", "pass"),
    "diagonals": ("length", "limit", "pass"),
    "wall": ("nominal", "gauge", "limit-percent", "pass"),
    "toe": ("rim-diameter", "limit", "pass", "fail"),
    "camber-caster": ("steer", "camber", "caster", "difference"),
    "lash": ("wheel-diameter", "limit", "pass"),
    "runout": ("at-most", "limit", "pass"),
    "battery": ("rested", "nominal", "pass", "fail"),
    "stamp": ("mark", "first"),
    "date-code": ("mark", "window-days", "span", "built", "first"),
    "vin": ("year",),
    "tyre-age": ("on",),
    "tyre-size": ("fitted", "specified"),
    "timed": ("seconds", "at-most-per-minute"),
    "signs-seen": ("choices",),
    "yes-no": ("choices",),
    "count": ("choices",),
}
READING_COMMON = ("kind", "unit", "resolution", "uncertainty", "tool", "hold")

_positive = number("0", open_ended=True)


@takes(Shape("reading"))
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
    known = (*READING_COMMON, *READING_KINDS[kind])
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
    "cost": Key(read_cost, "hours and parts to put it right"),
    "signs": Key(list_of(read_sign), "what the result says of claims"),
    "source": Key(text, "where it comes from, or `common practice`", required=True),
    "only": Key(only, "the cars it applies to"),
    "after": Key(ident, "the check of the same station it stands behind"),
    "for-each": FOR_EACH,
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
