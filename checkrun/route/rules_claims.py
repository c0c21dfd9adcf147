"""What must hold between claims, signs and costs: nothing stands alone that is meant to be shared.

Whether the likelihoods of one sign add up is told where they are read, in `schema_weigh`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from checkrun.route.layers import item_id, members
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import closest
from checkrun.route.read import Reader, shown
from checkrun.route.schema_check import READING_KINDS
from checkrun.route.schema_weigh import RESULTS

#: Reading kinds that are evidence by themselves: the weight comes from what was read.
WEIGHED_KINDS = ("stamp", "date-code")
_SHARE = re.compile(r"[0-9]*\.?[0-9]+", re.ASCII)


@dataclass(slots=True)
class _Found:
    """What the signs and costs of a route name, and where.

    Attributes:
        checks: How many checks there are.
        spoken: The claims that signs speak of.
        causes: The signs' causes by claim and name.
        together: The keys of shared labour by name.
        bare: The checks with their signs without likelihoods.
    """

    checks: int = 0
    spoken: set[str] = field(default_factory=set)
    causes: dict[tuple[str, str], list[Scalar]] = field(default_factory=dict)
    together: dict[str, list[Scalar]] = field(default_factory=dict)
    bare: list[tuple[Map, Map]] = field(default_factory=list)


def check_claims(reader: Reader, root: Map, below: Sequence[Map]) -> None:
    """Tell signs that can't be weighed, and causes, claims and keys that nothing shares.

    Args:
        reader: Where problems are told.
        root: The route, laid together.
        below: The routes it is laid over, each laid together too, nearest first.
    """
    found = _find(root)
    layers = [root.file, *(layer.file for layer in below)]
    for check, sign in found.bare:
        _check_bare(reader, check, sign, layers)
    before = _Before(below)
    _tell_causes(reader, root, found, before)
    _tell_together(reader, root, found, before)
    _tell_silent(reader, root, found, before)
    _tell_stakes(reader, root)


def _find(root: Map) -> _Found:
    found = _Found()
    for check in _checks(root):
        found.checks += 1
        cost = check.get("cost")
        key = cost.get("together") if isinstance(cost, Map) else None
        if isinstance(key, Scalar):
            found.together.setdefault(key.text, []).append(key)
        for sign in members(check, "signs"):
            claim, cause = sign.get("claim"), sign.get("cause")
            if isinstance(claim, Scalar):
                found.spoken.add(claim.text)
                if isinstance(cause, Scalar):
                    found.causes.setdefault((claim.text, cause.text), []).append(cause)
            if not any(key in sign.entries for key in RESULTS):
                found.bare.append((check, sign))
    return found


def _checks(root: Map) -> Iterator[Map]:
    for station in members(root, "stations"):
        yield from members(station, "checks")


class _Before:
    """What the route below names; looked up only when something in it stands alone.

    What a layer leaves alone by dropping the rest was right where it was written.
    """

    def __init__(self, below: Sequence[Map]) -> None:
        self.root = below[0] if below else None
        self._found: _Found | None = None

    @property
    def found(self) -> _Found:
        if self._found is None:
            self._found = _Found() if self.root is None else _find(self.root)
        return self._found


def _check_bare(reader: Reader, check: Map, sign: Map, layers: Sequence[str]) -> None:
    """Tell a sign without likelihoods whose weight can't be computed either."""
    reading = check.get("reading")
    kind = reading.get("kind") if isinstance(reading, Map) else None
    if reading is not None and not (isinstance(kind, Scalar) and kind.text in READING_KINDS):
        return  # told already; which kind was meant can't be known
    if isinstance(kind, Scalar) and kind.text in WEIGHED_KINDS:
        return
    weighed = " or ".join(f"`{name}`" for name in WEIGHED_KINDS)
    if isinstance(kind, Scalar) and layers.index(kind.file) < layers.index(sign.file):
        reader.tell(
            kind,
            "R052",
            f"a `{kind.text}` reading can't be weighed, and a sign of this check has no likelihoods"
            f" ({sign.file}, line {sign.line})",
            "Write the signs of this check here too, with pass, concern and fail.",
        )
        return
    reader.tell(
        sign,
        "R052",
        f"a sign without likelihoods needs a {weighed} reading to be weighed by",
        "Write how likely each result is: pass, concern and fail.",
    )


def _tell_causes(reader: Reader, root: Map, found: _Found, before: _Before) -> None:
    for (claim, cause), nodes in found.causes.items():
        if len(nodes) > 1:
            continue
        if nodes[0].file != root.file and len(before.found.causes.get((claim, cause), ())) > 1:
            continue
        others = [name for of, name in found.causes if of == claim and name != cause]
        reader.tell(
            nodes[0],
            "R053",
            f"the cause `{shown(cause)}` stands only once for `{shown(claim)}`",
            _meant(cause, others) or "Give it to all signs that come of it, or take it out.",
            warning=True,
        )


def _tell_together(reader: Reader, root: Map, found: _Found, before: _Before) -> None:
    for name, nodes in found.together.items():
        if len(nodes) > 1:
            continue
        if nodes[0].file != root.file and len(before.found.together.get(name, ())) > 1:
            continue
        others = [other for other in found.together if other != name]
        reader.tell(
            nodes[0],
            "R055",
            f"no other cost shares its labour by `{shown(name)}`",
            _meant(name, others) or "Give the key to all that is put right in one go, or to none.",
            warning=True,
        )


def _meant(name: str, others: list[str]) -> str:
    """What to do with a name that stands alone, if another is spelt much like it."""
    near = closest(name, others)
    return "" if near is None else f"Write `{near}` if that is meant; else take it out."


def _tell_stakes(reader: Reader, root: Map) -> None:
    """Tell where more is at stake in all claims together than the car is worth.

    A layer that says nothing of claims is not told: the route below it is.
    """
    stakes = [
        node
        for claim in members(root, "claims")
        if isinstance(node := claim.get("matters"), Scalar) and _SHARE.fullmatch(node.text)
    ]
    own = [node for node in stakes if node.file == root.file]
    total = sum((Decimal(node.text) for node in stakes), Decimal(0))
    if own and total > 1:
        hint = "Each doubt is taken off the price: let all `matters` add up to 1 at most."
        message = f"the claims put {total} of the price at stake, more than all of it"
        reader.tell(own[-1], "R056", message, hint, warning=True)


def _tell_silent(reader: Reader, root: Map, found: _Found, before: _Before) -> None:
    """Tell each claim that no sign speaks of."""
    silent = {
        name: claim
        for claim in members(root, "claims")
        if (name := item_id(claim)) is not None and name not in found.spoken
    }
    # Of a route without any check that is told, and all its claims are silent.
    if not silent or not found.checks:
        return
    # A sign of a claim that is misspelt is told as such, and the claim is not silent then.
    known = [name for claim in members(root, "claims") if (name := item_id(claim)) is not None]
    meant = {closest(name, known) for name in found.spoken if name not in known}
    for name, claim in silent.items():
        if name in meant:
            continue
        lost = None
        if claim.file != root.file and before.root is not None and name in before.found.spoken:
            lost = _where_lost(root, before.root, name)
        if lost is None:
            hint = "Give the checks that tell of it a sign, or take the claim out."
            message = f"no sign speaks for or against the claim `{shown(name)}`"
            reader.tell(claim.get("id") or claim, "R054", message, hint, warning=True)
        else:
            hint = f"Drop `{shown(name)}` too, or give another check a sign of it."
            message = f"this leaves the claim `{shown(name)}` without any sign"
            reader.tell(lost, "R054", message, hint, warning=True)


def _where_lost(root: Map, below: Map, claim: str) -> Node | None:
    """What a layer drops or writes anew so that a claim has no sign any more."""
    drop = root.get("drop")
    items = drop.items if isinstance(drop, Seq) else []
    dropped = {item.text: item for item in items if isinstance(item, Scalar)}
    here = {item_id(check): check for check in _checks(root)}
    for station in members(below, "stations"):
        for check in members(station, "checks"):
            if not _speaks(check, claim):
                continue
            for member in (check, station):
                node = dropped.get(item_id(member) or "")
                if node is not None:
                    return node
            again = here.get(item_id(check))
            if again is not None:
                return again.get("signs")
    return None


def _speaks(check: Map, claim: str) -> bool:
    said = [sign.get("claim") for sign in members(check, "signs")]
    return any(isinstance(node, Scalar) and node.text == claim for node in said)
