"""What must hold of the limits of a reading: one that names a published table leads to a row."""

from __future__ import annotations

from collections.abc import Iterator

from checkrun.route.nodes import Map, Node, Scalar
from checkrun.route.problems import nearest_or_all
from checkrun.route.read import Reader, shown

#: Keys of a reading that a limit stands under, and those that hold limits by their sides.
_PLAIN = ("limit", "least", "at-most", "at-most-per-minute")
_SIDES = ("pass", "fail")


def check_limits(reader: Reader, reading: Map) -> None:
    """Tell every limit that names no table or no row; only the tables named are read."""
    for node in _limits(reading):
        name = node.text.strip()
        # As the judgement tells a table from a quantity such as `3/32 in`.
        if "/" in name and name[0].isalpha():
            _check_name(reader, node, name)


def _limits(reading: Map) -> Iterator[Scalar]:
    found: list[Node | None] = [reading.get(key) for key in _PLAIN]
    for key in _SIDES:
        sides = reading.get(key)
        if isinstance(sides, Map):
            found += [value for _, value in sides.entries.values()]
    yield from (node for node in found if isinstance(node, Scalar))


def _check_name(reader: Reader, node: Scalar, name: str) -> None:
    from checkrun import tables  # only for a limit that names one

    try:
        tables.limit(name)
    except tables.NoSuchTable:
        table, _, row = name.partition("/")
        if table not in tables.names():
            hint = nearest_or_all(table, tables.names())
            reader.tell(node, "R034", f"there is no table `{shown(table)}`", hint)
            return
        rows = [found["row"] for found in tables.rows(table) if found.get("limit")]
        if rows:
            message = f"the table `{table}` has no row `{shown(row)}`"
            reader.tell(node, "R034", message, nearest_or_all(row, rows))
        else:
            hint = "Name a table of limits, such as us-in-use."
            reader.tell(node, "R034", f"the table `{table}` holds no limits", hint)
