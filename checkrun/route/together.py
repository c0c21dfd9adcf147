"""A route's file, the ones it is built on and the pieces they take in, read as one route."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from checkrun.route.build import build
from checkrun.route.includes import Expander
from checkrun.route.kept import Kept
from checkrun.route.layers import lay_over
from checkrun.route.model import Route
from checkrun.route.nodes import Map, Node, Scalar
from checkrun.route.problems import Problem, nearest_or_all
from checkrun.route.read import Reader
from checkrun.route.rules import check_name, check_unique

if TYPE_CHECKING:
    from checkrun.route.catalog import Catalog

#: Problems that may be none once the route below or the piece is there: a missing key, place,
#: reference, reading, or member to drop, and what nothing refers to.
_NEEDS_WHOLE = frozenset({"R021", "R041", "R044", "R047", "R052", "R053", "R054", "R055"})


def read(
    catalog: Catalog, path: Path, *, content: bool
) -> tuple[Route | None, list[Problem], list[Path]]:
    """The route of a file, its problems, and the files it was made of, its own first.

    Args:
        catalog: Where the other files are found.
        path: The file.
        content: Whether what helps nobody is told too, beside what is wrong.
    """
    problems: list[Problem] = []
    chain, files, whole = _chain(catalog, path, problems)
    kept = catalog.kept
    expander = Expander(catalog.pieces, Reader(problems), kept)
    chain = expander.expand_all(chain, files)
    whole = whole and expander.whole
    catalog.pieces.note(path, expander.taken, whole=whole)
    if not chain:
        return None, problems, files
    tree = chain[-1]
    below: list[Map] = []
    laying: list[Problem] = []
    for top in reversed(chain[:-1]):
        if isinstance(tree, Map) and isinstance(top, Map):
            check_unique(top, problems)
            below.insert(0, tree)
            tree = _laid(tree, top, laying, kept)
    pieces = tuple(expander.owners)
    if not whole:
        # Without what lies below or in a piece it can't be told what is missing; all else can.
        build(tree, (), laying, below, pieces)
        told = {(problem.file, problem.line, problem.column) for problem in problems}
        problems += [
            problem
            for problem in laying
            if problem.code not in _NEEDS_WHOLE
            and (problem.file, problem.line, problem.column) not in told
        ]
        return None, expander.named(problems), files
    problems += laying
    if len(chain) == 1 and isinstance(tree, Map) and tree.get("drop") is not None:
        problems.append(
            tree.entries["drop"][0].problem(
                "R048", "`drop` needs a route below to drop from", "Add `built-on`."
            )
        )
    built_on = tuple(file.stem for file in files[1:])
    route = build(tree, built_on, problems, below, pieces, kept)
    if content and isinstance(tree, Map):
        from checkrun.route.rules_content import check_content

        check_content(tree, route, below, problems)
    return route, expander.named(problems), files


def _laid(below: Map, top: Map, problems: list[Problem], kept: Kept | None) -> Map:
    """A tree laid over another, or what that came to when the two were read before."""
    if kept is None:
        return lay_over(below, top, problems)

    def lay() -> tuple[Map, Map]:
        return below, lay_over(below, top, problems)

    # The one below is kept with it, so that its place in memory is nobody else's.
    return kept.make(Reader(problems), top, ("over", id(below)), lay)[1]


def _chain(
    catalog: Catalog, path: Path, problems: list[Problem]
) -> tuple[list[Node], list[Path], bool]:
    """The trees from the file down to its foundation, and whether all could be read."""
    chain: list[Node] = []
    files: list[Path] = []
    while True:
        files.append(path)
        root, found, _ = catalog.tree(path)
        problems.extend(found)
        if root is None:
            return chain, files, False
        if not isinstance(root, Map):
            return [*chain, root], files, True
        if "piece" in root.entries and "id" not in root.entries:
            message = f"`{path.stem}` is a piece, and only a route can be walked"
            hint = "Take it in by `include`; it is read with the routes that do."
            problems.append(root.entries["piece"][0].problem("R067", message, hint))
            return chain, files, False
        chain.append(root)
        check_name(root, path, problems)
        node = root.get("built-on")
        if not isinstance(node, Scalar):
            return chain, files, True
        below = catalog.below(node.text, files[0].parent, files)
        if below is None:
            problems.append(_nothing_below(catalog, node, files))
            return chain, files, False
        path = below


def _nothing_below(catalog: Catalog, node: Scalar, files: list[Path]) -> Problem:
    if catalog.candidates(node.text, files[0].parent):
        ring = " -> ".join([*(file.stem for file in files), node.text])
        return node.problem(
            "R043", f"`built-on` runs in a ring: {ring}", "One of them must stand by itself."
        )
    known = [found.id for found in catalog.all()]
    hint = nearest_or_all(node.text, known)
    return node.problem("R042", f"there is no route `{node.text}` to build on", hint)
