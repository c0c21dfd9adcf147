"""The keys of the car, its marks and facts, the claims and the places."""

from __future__ import annotations

from checkrun.route.model import (
    Claim,
    Fact,
    Mark,
    MarkField,
    Outline,
    Place,
)
from checkrun.route.nodes import Map, Node
from checkrun.route.numbers import length, number, probability, real, whole
from checkrun.route.read import (
    Key,
    Reader,
    bare,
    filled,
    ident,
    list_of,
    one_of,
    only,
    pairs_of,
    text,
    years,
    yes_no,
)
from checkrun.route.shapes import Shape, takes

_share = number("0", "1")
_fact_kinds = {kind: kind for kind in ("text", "yes-no", "number", "choice")}

FIELD_KEYS: dict[str, Key] = {
    "name": Key(ident, "what the characters are called"),
    "text": Key(bare, "characters that are always the same"),
    "digits": Key(whole("1", "20"), "how many digits"),
    "letters": Key(whole("1", "20"), "how many letters"),
    "means": Key(text, "what they say"),
    "values": Key(pairs_of(bare), "what single values mean"),
    "range": Key(bare, "first and last number, such as 1-31"),
}


@takes(Shape("keys", FIELD_KEYS))
def _field(reader: Reader, node: Node) -> MarkField | None:
    values = reader.keys(node, FIELD_KEYS, "a field of a mark")
    if not isinstance(node, Map):
        return None
    kinds = [key for key in ("text", "digits", "letters") if key in values]
    if len(kinds) != 1:
        reader.tell(
            node,
            "R031",
            "a field needs just one of `text`, `digits`, `letters`",
            "Write one field for each run of characters.",
        )
        return None
    if values[kinds[0]] is None:
        return None
    return MarkField(
        name=values.get("name") or "",
        text=values.get("text") or "",
        digits=values.get("digits") or 0,
        letters=values.get("letters") or 0,
        means=values.get("means") or "",
        values=values.get("values") or (),
        range=values.get("range") or "",
    )


MARK_KEYS: dict[str, Key] = {
    "title": Key(text, "what it is called", required=True),
    "where": Key(text, "where on the car it is"),
    "fields": Key(list_of(_field), "its runs of characters from left to right", required=True),
    "agrees-with": Key(
        pairs_of(bare),
        "what a field must agree with on this car: `car.year` or a fact, or of it `last N`, "
        "`first N`, `character N` or `characters A to B`",
    ),
    "restamped": Key(probability, "share of later parts that carry an agreeing stamp"),
    "source": Key(text, "where the rule comes from, or `common practice`", required=True),
}
_MARK_NAMES = (
    ("title", "title"),
    ("where", "where"),
    ("fields", "fields"),
    ("agrees-with", "agrees_with"),
    ("restamped", "restamped"),
    ("source", "source"),
)


def read_mark(reader: Reader, name: str, node: Node) -> Mark | None:
    """A mark by its key in `marks`."""
    values = reader.keys(node, MARK_KEYS, "a mark")
    return Mark(name, **filled(values, _MARK_NAMES)) if values.get("title") else None


FACT_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name", required=True),
    "ask": Key(text, "the question", required=True),
    "kind": Key(one_of(_fact_kinds), "text, yes-no, number or choice"),
    "choices": Key(list_of(bare), "the answers of a choice"),
    "mark": Key(ident, "the mark that the answer must fit"),
    "required": Key(yes_no, "yes if the walk can't start without it"),
    "example": Key(bare, "an answer as it is written"),
}
_FACT_NAMES = tuple((key, key) for key in FACT_KEYS)


@takes(Shape("keys", FACT_KEYS))
def read_fact(reader: Reader, node: Node) -> Fact | None:
    """A fact asked at the intake."""
    values = reader.keys(node, FACT_KEYS, "a fact")
    if values.get("id") is None or values.get("ask") is None:
        return None
    fact = Fact(**filled(values, _FACT_NAMES))
    if fact.kind == "choice" and not fact.choices:
        reader.tell(node, "R021", "a choice has no `choices`", "choices: [one, other]")
    return fact


OUTLINE_KEYS: dict[str, Key] = {
    "length": Key(length, "metres", required=True),
    "width": Key(length, "metres", required=True),
    "wheelbase": Key(length, "metres", required=True),
    "front-overhang": Key(length, "metres from the front axle line to the nose", required=True),
}


@takes(Shape("keys", OUTLINE_KEYS))
def _outline(reader: Reader, node: Node) -> Outline | None:
    values = reader.keys(node, OUTLINE_KEYS, "`outline`")
    if any(values.get(key) is None for key in OUTLINE_KEYS):
        return None
    outline = Outline(*(values[key] for key in OUTLINE_KEYS))
    if min(values.values()) <= 0 or outline.wheelbase + outline.front_overhang > outline.length:
        reader.tell(
            node,
            "R024",
            "these measures make no car",
            "All must be above zero, and wheelbase + front-overhang within the length.",
        )
        return None
    return outline


CAR_KEYS: dict[str, Key] = {
    "years": Key(years, "model year or range of them", required=True),
    "outline": Key(_outline, "the car as a box seen from above", required=True),
    "facts": Key(list_of(read_fact), "what is asked before the walk"),
}

#: As many characters as the narrowest screen has room for beside an amount.
_SHORT = 24


@takes(Shape("text", high=str(_SHORT)))
def _short(reader: Reader, node: Node) -> str | None:
    words = text(reader, node)
    if words is not None and len(words) > _SHORT:
        hint = f"Use {_SHORT} at most; `says` holds the whole of it."
        reader.tell(node, "R024", f"{len(words)} characters are too many for a short name", hint)
        return None
    return words


CLAIM_KEYS: dict[str, Key] = {
    "id": Key(ident, "its name", required=True),
    "says": Key(text, "what is said of the car", required=True),
    "before": Key(probability, "share of such cars for which it is true", required=True),
    "matters": Key(_share, "share of the asking price at stake", required=True),
    "only": Key(only, "the cars it is said of"),
    "short": Key(_short, "a few words for it, for lists and lines"),
}


_CLAIM_NAMES = tuple((key, key) for key in CLAIM_KEYS)


@takes(Shape("keys", CLAIM_KEYS))
def read_claim(reader: Reader, node: Node) -> Claim | None:
    """A claim to be weighed."""
    values = reader.keys(node, CLAIM_KEYS, "a claim")
    if any(values.get(key) is None for key, found in CLAIM_KEYS.items() if found.required):
        return None
    return Claim(**filled(values, _CLAIM_NAMES))


PLACE_KEYS: dict[str, Key] = {
    "x": Key(real, "metres behind the front axle line", required=True),
    "y": Key(real, "metres to the right of the middle", required=True),
    "z": Key(real, "metres above the ground", required=True),
}


def read_place(reader: Reader, node: Node) -> Place | None:
    """A point on the car."""
    values = reader.keys(node, PLACE_KEYS, "a place")
    if any(values.get(key) is None for key in PLACE_KEYS):
        return None
    return Place(values["x"], values["y"], values["z"])
