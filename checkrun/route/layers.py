"""Lay one route over another: stations, checks, facts and claims by id, everything else by key."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from operator import is_not

from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import Problem, nearest

#: Lists whose members are told apart by their `id` and merged field by field.
_BY_ID = frozenset({"stations", "checks", "facts", "claims"})
#: Keys of a layer that speak of that file alone.
_OWN = frozenset({"built-on", "drop", "format", "id"})


def lay_over(base: Map, top: Map, problems: list[Problem]) -> Map:
    """The route `top` makes of the route `base`.

    Neither is changed. Every value keeps the place where it was written. What `drop` names is taken
    out of the base before the layer is laid over it.
    """
    dropped = _dropped(base, top.get("drop"), problems)
    kept = _without(base, dropped) if dropped else base
    laid = _merge_maps(kept, top)
    for key in _OWN:
        laid.entries.pop(key, None)
        if key in top.entries:
            laid.entries[key] = top.entries[key]
    return laid


def under(root: Map, other: Map, keys: Iterable[str]) -> Map:
    """The route `root` with what `other` has under some keys beneath it.

    Neither is changed. What both have is merged field by field, and the root's own wins; what only
    the other has stands behind it.
    """
    entries = dict(root.entries)
    for key in keys:
        if key not in other.entries:
            continue
        if key not in entries:
            entries[key] = other.entries[key]
            continue
        key_node, own = entries[key]
        lower = other.entries[key][1]
        if isinstance(own, Map) and isinstance(lower, Map):
            laid: Node = _behind(own, lower)
        elif isinstance(own, Seq) and isinstance(lower, Seq):
            laid = _behind_by_id(own, lower)
        else:
            continue
        entries[key] = (key_node, laid)
    return Map(root.file, root.line, root.column, entries)


def item_id(node: Node) -> str | None:
    """The `id` of a member of a list, or None where it has none."""
    if isinstance(node, Map):
        value = node.get("id")
        if isinstance(value, Scalar):
            return value.text
    return None


def members(node: Node | None, key: str) -> Iterator[Map]:
    """The members of a list under a key that are mappings; none where there is no such list."""
    value = node.get(key) if isinstance(node, Map) else None
    if isinstance(value, Seq):
        for item in value.items:
            if isinstance(item, Map):
                yield item


def _merge_maps(base: Map, top: Map) -> Map:
    entries = dict(base.entries)
    for key, (key_node, value) in top.entries.items():
        below = entries.get(key)
        entries[key] = (key_node, value if below is None else _merge(key, below[1], value))
    return Map(top.file, top.line, top.column, entries)


def _merge(key: str, base: Node, top: Node) -> Node:
    if isinstance(base, Map) and isinstance(top, Map):
        if key == "reading" and _other_kind(base, top):
            return top
        return _merge_maps(base, top)
    if key in _BY_ID and isinstance(base, Seq) and isinstance(top, Seq):
        return _merge_lists(base, top)
    return top


def _behind(own: Map, lower: Map) -> Map:
    entries = dict(own.entries)
    for name, (key_node, value) in lower.entries.items():
        mine = entries.get(name)
        if mine is None:
            entries[name] = (key_node, value)
        elif isinstance(mine[1], Map) and isinstance(value, Map):
            entries[name] = (mine[0], _merge_maps(value, mine[1]))
    return Map(own.file, own.line, own.column, entries)


def _behind_by_id(own: Seq, lower: Seq) -> Seq:
    below = {item_id(item): item for item in lower.items}
    items: list[Node] = []
    for item in own.items:
        name = item_id(item)
        other = None if name is None else below.get(name)
        if isinstance(item, Map) and isinstance(other, Map):
            item = _merge_maps(other, item)
        items.append(item)
    known = {item_id(item) for item in own.items} - {None}
    items += [item for item in lower.items if item_id(item) not in known]
    return Seq(own.file, own.line, own.column, items)


def _other_kind(base: Map, top: Map) -> bool:
    """Whether a layer gives a reading another kind, so that the old keys mean nothing."""
    old, new = base.get("kind"), top.get("kind")
    return isinstance(old, Scalar) and isinstance(new, Scalar) and old.text != new.text


def _merge_lists(base: Seq, top: Seq) -> Seq:
    items = list(base.items)
    where = {item_id(item): index for index, item in enumerate(items)}
    for item in top.items:
        index = where.get(item_id(item)) if item_id(item) is not None else None
        if index is None:
            items.append(item)
            continue
        below = items[index]
        if isinstance(below, Map) and isinstance(item, Map):
            items[index] = _merge_maps(below, item)
    return Seq(top.file, top.line, top.column, items)


def _dropped(base: Map, drop: Node | None, problems: list[Problem]) -> frozenset[str]:
    """The ids to take out; one that is not there is a problem."""
    if not isinstance(drop, Seq):
        return frozenset()
    known = {name for name in _ids(base) if name is not None}
    wanted: set[str] = set()
    for item in drop.items:
        if not isinstance(item, Scalar):
            continue
        if item.text in known:
            wanted.add(item.text)
        else:
            problems.append(
                item.problem(
                    "R044",
                    f"`drop` names `{item.text}`, which the route below does not have",
                    nearest(item.text, known) or "Take the name out, or mend its spelling.",
                )
            )
    return frozenset(wanted)


def _ids(node: Node) -> list[str | None]:
    found: list[str | None] = []
    if isinstance(node, Map):
        for key, (_, value) in node.entries.items():
            if key in _BY_ID and isinstance(value, Seq):
                found.extend(item_id(item) for item in value.items)
                for item in value.items:
                    found.extend(_ids(item))
            elif key == "car":
                found.extend(_ids(value))
    return found


def _without(node: Map, dropped: frozenset[str]) -> Map:
    """The tree without some members; itself, and what it holds, where nothing is dropped."""
    entries: dict[str, tuple[Scalar, Node]] | None = None
    for key, (key_node, value) in node.entries.items():
        fewer: Node = value
        if key in _BY_ID and isinstance(value, Seq):
            items = [
                _without(item, dropped) if isinstance(item, Map) else item
                for item in value.items
                if item_id(item) not in dropped
            ]
            if len(items) < len(value.items) or any(map(is_not, items, value.items)):
                fewer = Seq(value.file, value.line, value.column, items)
        elif key == "car" and isinstance(value, Map):
            fewer = _without(value, dropped)
        if fewer is not value:
            entries = dict(node.entries) if entries is None else entries
            entries[key] = (key_node, fewer)
    return node if entries is None else Map(node.file, node.line, node.column, entries)
