"""What a route says that helps nobody: warnings about the texts and limits of its checks.

Of whole texts only, by the short lists of `wording`; where a station can't be reached is told in
`rules_reach`, what differs between years in `rules_years`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from checkrun.route.layers import members
from checkrun.route.model import Route
from checkrun.route.nodes import Map, Node, Scalar
from checkrun.route.problems import Problem
from checkrun.route.read import shown
from checkrun.route.rules_orphans import check_orphans
from checkrun.route.rules_reach import check_order, check_reach
from checkrun.route.wording import no_source, only_looks, says_nothing, too_short, words

#: Every code of a content warning, here and in the modules named above.
CODES = frozenset(f"R{number:03}" for number in range(70, 82))

_RESULTS = ("pass", "concern", "fail")
#: Keys of a reading that hold a limit in its unit, and those that hold limits by their sides.
_PLAIN = (
    *("limit", "least", "at-most", "at-most-per-minute", "side-difference", "taper"),
    *("thin-below", "filler-above", "difference"),
)
_SIDES = ("pass", "fail", "camber", "caster")
#: Kinds whose `pass` is a share in percent whatever their unit is.
_PERCENT = ("cylinders", "wall")
#: Kinds that are not judged by a quantity.
_NO_UNIT = ("yes-no", "count", "signs-seen", "stamp", "date-code", "vin", "tyre-age", "tyre-size")


def check_content(
    root: Map, route: Route | None, below: Sequence[Map], problems: list[Problem]
) -> None:
    """Warn of all that a mechanic could make nothing of.

    Args:
        root: The route, laid together.
        route: What was read of it, or None if nothing could be.
        below: The routes it is laid over, each laid together too, nearest first.
        problems: Where the warnings are added.
    """
    layers = [root.file, *(layer.file for layer in below)]
    for station in members(root, "stations"):
        for check in members(station, "checks"):
            _check_texts(check, problems)
            _check_source(check, problems)
            reading, source = check.get("reading"), check.get("source")
            if isinstance(reading, Map):
                _check_units(reading, problems)
                if isinstance(source, Scalar) and below:
                    _check_whose(reading, source, layers, problems)
    marks = root.get("marks")
    for _, mark in marks.entries.values() if isinstance(marks, Map) else ():
        if isinstance(mark, Map):
            _check_source(mark, problems)
    # While something is wrong, what is misspelt in one place looks alone in another.
    if route is not None and all(problem.warning for problem in problems):
        check_orphans(root, below, problems)
        check_reach(root, route, problems)
        check_order(root, route, problems)


def _check_texts(check: Map, problems: list[Problem]) -> None:
    ask, how = check.get("ask"), check.get("how")
    if isinstance(how, Scalar) and how.text.strip():
        _check_how(how, ask.text if isinstance(ask, Scalar) else "", problems)
    if isinstance(ask, Scalar) and only_looks(ask.text):
        _vague(ask, problems, "Name the part and what is wanted of it: `Gap down each side`.")
    first: dict[tuple[str, ...], str] = {}
    for key in _RESULTS:
        node = check.get(key)
        if not isinstance(node, Scalar):
            continue
        if says_nothing(node.text):
            _vague(node, problems, "Say what is seen, felt, heard or measured then.")
            continue
        said = words(node.text)
        if said and said in first:
            problems.append(
                node.problem(
                    "R071",
                    f"`{key}` reads just as `{first[said]}` does",
                    "Say what tells the two apart.",
                    warning=True,
                )
            )
        first.setdefault(said, key)


def _check_how(how: Scalar, ask: str, problems: list[Problem]) -> None:
    hint = "Say how to look: which tool, where, how to hold it, what to press or turn."
    if only_looks(how.text):
        _vague(how, problems, hint)
    elif words(how.text) == words(ask):
        problems.append(how.problem("R070", "`how` only repeats `ask`", hint, warning=True))
    elif too_short(how.text):
        message = f"`{shown(how.text)}` does not say how to look"
        problems.append(how.problem("R070", message, hint, warning=True))


def _vague(node: Scalar, problems: list[Problem], hint: str) -> None:
    message = f"`{shown(node.text)}` could be said of anything"
    problems.append(node.problem("R071", message, hint, warning=True))


def _check_source(member: Map, problems: list[Problem]) -> None:
    node = member.get("source")
    if isinstance(node, Scalar) and node.text.strip() and no_source(node.text):
        problems.append(
            node.problem(
                "R072",
                f"`{shown(node.text)}` names no source",
                "Name what it was taken from, with its section; or write `common practice`.",
                warning=True,
            )
        )


def _check_whose(
    reading: Map, source: Scalar, layers: Sequence[str], problems: list[Problem]
) -> None:
    """Warn of a limit that a layer changes while the source is still that of the old one.

    A row of a published table brings its own source.
    """
    if source.file not in layers:
        return
    for node in _limits(reading):
        if node.file not in layers or (node.text[:1].isalpha() and "/" in node.text):
            continue
        if layers.index(node.file) < layers.index(source.file):
            problems.append(
                node.problem(
                    "R072",
                    f"the limit {shown(node.text)} is new here, and its source is that of the old "
                    f"one ({source.file}, line {source.line})",
                    "Write `source` for this check here too.",
                    warning=True,
                )
            )
            return


def _check_units(reading: Map, problems: list[Problem]) -> None:
    """Warn of the first limit of a reading that is a bare number of nobody knows what."""
    kind, unit = reading.get("kind"), reading.get("unit")
    if not isinstance(kind, Scalar) or kind.text in _NO_UNIT:
        return
    if isinstance(unit, Scalar) and unit.text.strip():
        return
    for node in _limits(reading, but_percent=kind.text in _PERCENT):
        written = node.text.strip()
        # A quantity names its own unit; so does a row of a published table.
        if written and not any(sign.isalpha() or sign in "%\"'°" for sign in written):
            problems.append(
                node.problem(
                    "R073",
                    f"the limit {shown(written)} has no unit",
                    "Write `unit:` into the reading, such as `unit: mm`.",
                    warning=True,
                )
            )
            return


def _limits(reading: Map, *, but_percent: bool = False) -> Iterator[Scalar]:
    """Where the limits of a reading stand; without those that are in percent of themselves."""
    found: list[Node | None] = [reading.get(key) for key in _PLAIN]
    for key in _SIDES:
        sides = reading.get(key)
        if isinstance(sides, Map) and not (key == "pass" and but_percent):
            found += [value for _, value in sides.entries.values()]
    yield from (node for node in found if isinstance(node, Scalar))
