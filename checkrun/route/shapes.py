"""What each reader of values takes, said once beside the reader for the schema and the guide.

A reader itself is only a function. Here stands what a value must look like before it is read, so
that nothing of it need be written a second time. Reading does not look in here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

_Reader = TypeVar("_Reader", bound=Callable[..., Any])


class Shape(NamedTuple):
    """What a value looks like.

    Attributes:
        kind: One of
            `text` not empty, `bare` a short text that may look like a number or a yes, `id`,
            `years`, `yes-no`, `quantity` a number or a text with its unit, `anything`;
            `one` of some words; `number`, `whole`;
            `list`, `pairs` by free names, `named` pairs by ids, each of some other shape;
            `keys` of a table; `reading` a mapping whose keys depend on its `kind`.
        of: The words; the shape, or the reader, of a member or value; the table of keys.
        low: Least number, or fewest members; empty where there is no end.
        high: Greatest number, most members, or most characters; empty where there is no end.
        above: Whether a number must be above `low`, not on it.
        below: Whether a number must be below `high`, not on it.
    """

    kind: str
    of: Any = None
    low: str = ""
    high: str = ""
    above: bool = False
    below: bool = False


_SHAPES: dict[Callable[..., Any], Shape] = {}


def takes(shape: Shape | Callable[..., Any]) -> Callable[[_Reader], _Reader]:
    """Mark a reader with what it takes: a shape, or the same as another reader."""

    def mark(reader: _Reader) -> _Reader:
        _SHAPES[reader] = shape_of(shape)
        return reader

    return mark


def shape_of(shape: Shape | Callable[..., Any]) -> Shape:
    """A shape as it is, or what a reader takes.

    Raises:
        LookupError: If the reader was not marked by `takes`.
    """
    if isinstance(shape, Shape):
        return shape
    found = _SHAPES.get(shape)
    if found is None:
        raise LookupError(f"{shape.__module__}.{shape.__qualname__} doesn't say what it takes")
    return found
