"""The keys of a piece that routes take in, and of the `include` that takes it in."""

from __future__ import annotations

import re
from pathlib import Path

from checkrun.route.foreach import FOR_EACH
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.pieces import PIECES
from checkrun.route.read import Key, Read, Reader, ident, shown, text
from checkrun.route.schema import ROUTE_KEYS, STATION_KEYS
from checkrun.route.shapes import Shape, shape_of, takes

#: What a piece can hold; just one of the two.
LISTS = ("checks", "stations")
_NAME = re.compile(r"pieces/([a-z0-9]+(?:-[a-z0-9]+)*)")


@takes(Shape("bare"))
def _piece_name(reader: Reader, node: Node) -> str | None:
    """The name of a piece, without its folder."""
    if not isinstance(node, Scalar):
        reader.shape(node, "the name of a piece")
        return None
    match = _NAME.fullmatch(node.text)
    if match is not None:
        return match[1]
    stem = node.text.removesuffix(".yaml").rsplit("/", 1)[-1].lower()
    meant = re.sub(r"[^a-z0-9]+", "-", stem).strip("-")
    hint = f"Write `{PIECES}/{shown(meant)}`." if meant else f"Write `{PIECES}/` and its name."
    message = f"`{shown(node.text)}` is not the name of a piece"
    reader.tell(node, "R027", message, hint)
    return None


def _as_is(like: Read) -> Read:
    """A reader that takes the same as another and gives the node: it is read with the route."""

    @takes(shape_of(like))
    def read(reader: Reader, node: Node) -> Node:
        return node

    return read


INCLUDE_KEYS: dict[str, Key] = {
    "include": Key(_piece_name, f"the piece to take in, such as {PIECES}/brakes", required=True),
    "for-each": FOR_EACH,
}

PIECE_KEYS: dict[str, Key] = {
    "format": ROUTE_KEYS["format"],
    "piece": Key(ident, "the piece's name, as in its file's name", required=True),
    "about": Key(text, "one paragraph for whoever takes it in"),
    "checks": Key(_as_is(STATION_KEYS["checks"].read), "what a station takes in"),
    "stations": Key(_as_is(ROUTE_KEYS["stations"].read), "what a list of stations takes in"),
    "marks": Key(_as_is(ROUTE_KEYS["marks"].read), "marks its checks read; the route's own win"),
    "places": Key(_as_is(ROUTE_KEYS["places"].read), "places of it; the route's own win"),
    "claims": Key(_as_is(ROUTE_KEYS["claims"].read), "claims of its signs; the route's own win"),
}


def check_piece(reader: Reader, root: Node, path: Path) -> None:
    """Tell what is wrong with a piece by itself; its checks are read with the route."""
    reader.keys(root, PIECE_KEYS, "a piece")
    if not isinstance(root, Map):
        return
    name = root.get("piece")
    if isinstance(name, Scalar) and name.text != path.stem:
        message = f"the piece `{name.text}` is not the file's name `{path.stem}`"
        hint = f"Name the file {name.text}.yaml, or write `piece: {path.stem}`."
        reader.tell(name, "R046", message, hint)
    there = [what for what in LISTS if what in root.entries]
    if not there:
        reader.tell(root, "R062", "a piece has no `checks` and no `stations`", "Write one of them.")
    elif len(there) > 1:
        message = "a piece can't hold both checks and stations"
        reader.tell(root.entries[there[1]][0], "R062", message, "Make two pieces of it.")
    for what in there:
        listed = root.get(what)
        if listed is not None and not isinstance(listed, Seq):
            reader.shape(listed, f"a list ({what})")
