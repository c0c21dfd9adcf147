"""What must hold of the marks of a route: each field agrees with something it can agree with."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from checkrun.route.agreement import YEAR, Expression, Malformed, parse
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import nearest
from checkrun.route.read import Reader, shown


@dataclass(frozen=True, slots=True)
class _Around:
    """The route round a mark.

    Attributes:
        file: The uppermost file of the route.
        facts: The ids of its facts.
        dropped: What that file drops, by id.
        used: The marks that a check or a fact names.
    """

    file: str
    facts: Collection[str]
    dropped: dict[str, Scalar]
    used: Collection[str]


def check_marks(reader: Reader, root: Map, facts: Collection[str], used: Collection[str]) -> None:
    """Tell every `agrees-with` that no car could ever settle.

    Args:
        reader: Where problems are told.
        root: The route, laid together.
        facts: The ids of its facts.
        used: The marks that its checks and facts name.
    """
    marks = root.get("marks")
    drop = root.get("drop")
    items = drop.items if isinstance(drop, Seq) else []
    dropped = {item.text: item for item in items if isinstance(item, Scalar)}
    around = _Around(root.file, facts, dropped, used)
    for name, (_, mark) in marks.entries.items() if isinstance(marks, Map) else ():
        agrees = mark.get("agrees-with") if isinstance(mark, Map) else None
        if not isinstance(mark, Map) or not isinstance(agrees, Map):
            continue
        fields = _fields(mark)
        for key, value in agrees.entries.values():
            if fields is not None and key.text not in fields:
                # A layer may write the fields anew and leave out one of the route below.
                if not _from_below(value, mark):
                    _tell_field(reader, key, list(fields))
                    _check_value(reader, around, name, value)
                continue
            wanted = _check_value(reader, around, name, value)
            if wanted is not None and fields is not None:
                for field in fields[key.text]:
                    _check_length(reader, mark, key.text, field, value, wanted)


def _tell_field(reader: Reader, key: Scalar, names: list[str]) -> None:
    hint = nearest(key.text, names)
    if not hint:
        hint = f"Its fields are: {', '.join(names)}." if names else "All it has is fixed text."
    reader.tell(key, "R041", f"this mark has no field `{shown(key.text)}`", hint)


def _check_value(reader: Reader, around: _Around, name: str, value: Node) -> Expression | None:
    """What a field agrees with; None if it can't, which is told."""
    if not isinstance(value, Scalar):
        return None
    try:
        wanted = parse(value.text)
    except Malformed as problem:
        hint = f"{problem.hint[0].upper()}{problem.hint[1:]}."
        reader.tell(value, "R032", str(problem), hint)
        return None
    if wanted.beyond_year:
        message = f"a model year has no {wanted.lacking()}"
        reader.tell(value, "R033", message, "It has four figures, such as 1966.")
        return None
    if wanted.name == YEAR or wanted.name in around.facts:
        return wanted
    _tell_fact(reader, around, name, value, wanted)
    return None


def _tell_fact(
    reader: Reader, around: _Around, name: str, value: Scalar, wanted: Expression
) -> None:
    if value.file != around.file:
        # The route below has the fact; the layer took it out.
        if name not in around.used:
            return
        drop = around.dropped.get(wanted.name)
        if drop is not None:
            reader.tell(
                drop,
                "R041",
                f"the mark `{name}` is still read here and agrees with `{wanted.name}`",
                "Keep the fact, or drop all that reads the mark.",
            )
            return
    known = [*around.facts, YEAR]
    hint = nearest(wanted.name, known) or "Add that fact under `car`, or take its name out here."
    reader.tell(value, "R041", f"there is no fact `{shown(wanted.name)}`", hint)


def _check_length(
    reader: Reader, mark: Map, name: str, field: Map, value: Node, wanted: Expression
) -> None:
    """Tell a field that has another number of characters than what it must agree with."""
    given = wanted.length
    kind, node = _length(field)
    if given is None or node is None or int(node.text) == given:
        return
    count = int(node.text)
    other = wanted.of_length(count)
    says = f"`{wanted}` gives {_count(given)}"
    has = f"the field `{shown(name)}` has {count} {kind[:-1] if count == 1 else kind}"
    if _from_below(value, mark):
        hint = f"Write `agrees-with` for it here too, such as {{{name}: {other}}}."
        where = f"{value.file}, line {value.line}"
        reader.tell(node, "R033", f"{has}, and {says} ({where})", hint)
    else:
        fits = f"If the field is right, write `{other}`."
        hint = "A model year has four figures." if other.beyond_year else fits
        reader.tell(value, "R033", f"{says}, and {has}", hint)


def _from_below(value: Node, mark: Map) -> bool:
    """Whether the fields were written by a layer above the file of an `agrees-with`.

    A mark that was laid together stands in the file of its uppermost layer.
    """
    fields = mark.get("fields")
    return fields is not None and value.file not in (fields.file, mark.file)


def _fields(mark: Map) -> dict[str, list[Map]] | None:
    """The fields that are read, by the names the judgement knows them by; None if there are none.

    A field without a name is known by its place, such as `field 2`.
    """
    fields = mark.get("fields")
    if not isinstance(fields, Seq):
        return None
    found: dict[str, list[Map]] = {}
    for at, item in enumerate(fields.items, 1):
        if isinstance(item, Map) and item.get("text") is None:
            node = item.get("name")
            name = node.text if isinstance(node, Scalar) else f"field {at}"
            found.setdefault(name, []).append(item)
    return found


def _length(field: Map) -> tuple[str, Scalar | None]:
    """Whether a field is of digits or letters, and where their number stands, if it is one."""
    for kind in ("digits", "letters"):
        node = field.get(kind)
        if isinstance(node, Scalar) and node.text.isascii() and node.text.isdigit():
            return kind, node if len(node.text) <= 2 and int(node.text) else None
    return "digits", None


def _count(number: int) -> str:
    return "1 character" if number == 1 else f"{number} characters"
