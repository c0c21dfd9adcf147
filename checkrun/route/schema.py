"""The keys of route format 1 and of its stations, and what each means."""

from __future__ import annotations

from typing import Any

from checkrun.route.foreach import FOR_EACH
from checkrun.route.model import (
    STATE_VALUES,
    Order,
)
from checkrun.route.nodes import Node, Scalar
from checkrun.route.read import (
    Key,
    Read,
    Reader,
    ident,
    list_of,
    one_of,
    only,
    text,
)
from checkrun.route.schema_car import CAR_KEYS, MARK_KEYS, PLACE_KEYS, read_claim
from checkrun.route.schema_check import CHECK_KEYS
from checkrun.route.shapes import Shape, takes

FORMAT = 1


@takes(Shape("whole", None, str(FORMAT), str(FORMAT)))
def _format(reader: Reader, node: Node) -> int | None:
    if isinstance(node, Scalar) and node.text == str(FORMAT):
        return FORMAT
    found = f"`{node.text[:20]}`" if isinstance(node, Scalar) else "this"
    reader.tell(node, "R030", f"format {found} is not known here", f"Write `format: {FORMAT}`.")
    return None


NEED_KEYS: dict[str, Key] = {
    part: Key(one_of({value: value for value in options}), " or ".join(options))
    for part, options in STATE_VALUES.items()
}


@takes(Shape("keys", NEED_KEYS))
def _needs(reader: Reader, node: Node) -> tuple[tuple[str, str], ...]:
    values = reader.keys(node, NEED_KEYS, "`needs`")
    return tuple((part, values[part]) for part in STATE_VALUES if values.get(part) is not None)


def _later(shape: Shape) -> Read:
    """A reader that gives the node itself, for what is read in a later step."""

    @takes(shape)
    def read(reader: Reader, node: Node) -> Node:
        return node

    return read


STATION_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name, unlike any other in the route", required=True),
    "title": Key(text, "what to call it on screen", required=True),
    "place": Key(ident, "one of `places`", required=True),
    "needs": Key(_needs, "the state the car must be in"),
    "caution": Key(text, "what can hurt here"),
    "after": Key(ident, "a station that must come before it"),
    "only": Key(only, "the cars it applies to"),
    "for-each": FOR_EACH,
    "checks": Key(
        _later(Shape("list", Shape("keys", CHECK_KEYS))),
        "what is looked at from here",
        required=True,
    ),
}


@takes(Shape("keys", CAR_KEYS))
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
    "marks": Key(
        _later(Shape("named", Shape("keys", MARK_KEYS))),
        "stamped and cast numbers and how to read them",
    ),
    "places": Key(_later(Shape("named", Shape("keys", PLACE_KEYS))), "points on the car by name"),
    "stations": Key(
        _later(Shape("list", Shape("keys", STATION_KEYS))),
        "where to stand, in the author's order",
        required=True,
    ),
    "claims": Key(list_of(read_claim), "what is said of the car"),
    "drop": Key(list_of(ident), "what a layer takes out of the route below"),
}
