"""What must hold between the parts of a route: ids used once, references that lead somewhere."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from pathlib import Path

from checkrun.route.layers import item_id, members
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import Problem, nearest
from checkrun.route.read import Reader
from checkrun.route.rules_claims import check_claims
from checkrun.route.rules_limits import check_limits
from checkrun.route.rules_marks import check_marks


def check_name(root: Map, path: Path, problems: list[Problem]) -> None:
    """Tell an id that is not the name of its file."""
    node = root.get("id")
    if isinstance(node, Scalar) and node.text != path.stem:
        problems.append(
            node.problem(
                "R046",
                f"the id `{node.text}` is not the file's name `{path.stem}`",
                f"Name the file {node.text}.yaml, or write `id: {path.stem}`.",
            )
        )


def check_unique(root: Map, problems: list[Problem]) -> None:
    """Tell every id that is used twice among stations, among checks, facts or claims."""
    stations = list(members(root, "stations"))
    car = root.get("car")
    facts = list(members(car, "facts")) if isinstance(car, Map) else []
    checks = [check for station in stations for check in members(station, "checks")]
    for what, those in (
        ("station", stations),
        ("check", checks),
        ("fact", facts),
        ("claim", list(members(root, "claims"))),
    ):
        _tell_twice(what, those, problems)


def _tell_twice(what: str, those: list[Map], problems: list[Problem]) -> None:
    first: dict[str, Node] = {}
    for member in those:
        node = member.get("id")
        if not isinstance(node, Scalar):
            continue
        if node.text in first:
            hint = _where_first(first[node.text], node)
            message = f"the {what} `{node.text}` is there a second time"
            problems.append(node.problem("R040", message, hint))
        else:
            first[node.text] = node


def _where_first(there: Node, here: Node) -> str:
    where = f"line {there.line}"
    if there.file != here.file:
        where = f"{there.file}, {where}"
    elif (there.line, there.column) == (here.line, here.column):
        return "Its piece is taken in twice; take one out, or give each a `for-each` of its own."
    return f"It stands first in {where}; give this one another id."


def check_references(
    root: Map, reader: Reader, below: Sequence[Map] = (), pieces: Sequence[str] = ()
) -> None:
    """Tell every reference to something that is not there, and what nothing refers to.

    Args:
        root: The route, laid together.
        reader: Where problems are told.
        below: The routes it is laid over, each laid together too, nearest first.
        pieces: The files of the pieces taken into any of them.
    """
    stations = list(members(root, "stations"))
    station_ids = _ids(stations)
    claims = _ids(members(root, "claims"))
    car = root.get("car")
    facts = list(members(car, "facts")) if isinstance(car, Map) else []
    answers = {name: _answers(fact) for fact in facts if (name := item_id(fact)) is not None}
    marks_node = root.get("marks")
    marks = marks_node.entries if isinstance(marks_node, Map) else {}
    named = [fact.get("mark") for fact in facts]
    for claim in members(root, "claims"):
        _check_only(reader, claim, answers)
    for station in stations:
        _refer(reader, station.get("after"), station_ids, "station")
        _check_only(reader, station, answers)
        checks = list(members(station, "checks"))
        check_ids = _ids(checks)
        for check in checks:
            _refer(reader, check.get("after"), check_ids, "check")
            _check_only(reader, check, answers)
            reading = check.get("reading")
            if isinstance(reading, Map):
                named.append(reading.get("mark"))
                check_limits(reader, reading)
            for sign in members(check, "signs"):
                _refer(reader, sign.get("claim"), claims, "claim")
                _check_only(reader, sign, answers)
        _tell_ring(reader, checks)
    _tell_ring(reader, stations)
    for node in named:
        _refer(reader, node, marks, "mark")
    used = frozenset(node.text for node in named if isinstance(node, Scalar))
    check_marks(reader, root, answers, used)
    check_claims(reader, root, (*below, *(Map(file, 1, 1) for file in pieces)))


def _answers(fact: Map) -> list[str]:
    """The answers a fact can have, or none where they can't be told beforehand."""
    kind, choices = fact.get("kind"), fact.get("choices")
    if isinstance(kind, Scalar) and kind.text == "yes-no":
        return ["yes", "no"]
    if isinstance(choices, Seq):
        return [item.text.strip() for item in choices.items if isinstance(item, Scalar)]
    return []


def _check_only(reader: Reader, member: Map, answers: dict[str, list[str]]) -> None:
    only = member.get("only")
    facts = only.get("facts") if isinstance(only, Map) else None
    if not isinstance(facts, Map):
        return
    for name, (key_node, value) in facts.entries.items():
        _refer(reader, key_node, answers, "fact")
        known = answers.get(name)
        if known and isinstance(value, Scalar) and value.text.strip() not in known:
            reader.tell(
                value,
                "R025",
                f"`{value.text}` is no answer to `{name}`",
                f"Choose from: {', '.join(known)}.",
            )


def _refer(reader: Reader, node: Node | None, known: Collection[str], what: str) -> None:
    if isinstance(node, Scalar) and node.text not in known:
        missing = "this station has no" if what == "check" else "there is no"
        hint = nearest(node.text, known) or f"Add that {what}, or take its name out here."
        reader.tell(node, "R041", f"{missing} {what} `{node.text}`", hint)


def _tell_ring(reader: Reader, those: list[Map]) -> None:
    """Tell an `after` that leads back to its own start."""
    after: dict[str, Scalar] = {}
    for member in those:
        name, node = item_id(member), member.get("after")
        if name is not None and isinstance(node, Scalar):
            after[name] = node
    told: set[str] = set()
    for start in after:
        path = [start]
        while path[-1] in after and after[path[-1]].text not in path:
            path.append(after[path[-1]].text)
        last = after.get(path[-1])
        if last is not None and last.text == start and not told & set(path):
            told.update(path)
            ring = " -> ".join([*path, start])
            reader.tell(
                after[start], "R045", f"`after` runs in a ring: {ring}", "Take one of them out."
            )


def _ids(those: Iterable[Map]) -> dict[str, None]:
    return dict.fromkeys(name for name in map(item_id, those) if name is not None)
