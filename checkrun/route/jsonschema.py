"""The JSON Schema of route files, made from the tables of keys that the reader itself uses.

Draft 2020-12. One schema serves whole routes, layers and pieces: what every file must hold is asked
always, what a layer may leave to the route below only where `built-on` is not there. Values are
seen as YAML readers of 1.1 and 1.2 both give them: `1966` is a number and `1963-1968` a text, and
`yes` and `off` may be true or false.

What a schema can't see, `checkrun lint` tells: names that lead nowhere, ids used twice, figures
that don't fit together, and a text, a number or a key as it was written before YAML read it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from checkrun.route.pieces import PIECES
from checkrun.route.read import ONLY_KEYS, Key
from checkrun.route.reading_shapes import fields_of, shape_of_field
from checkrun.route.scalars import misread_as
from checkrun.route.schema import NEED_KEYS, ROUTE_KEYS, STATION_KEYS
from checkrun.route.schema_car import (
    CAR_KEYS,
    CLAIM_KEYS,
    FACT_KEYS,
    FIELD_KEYS,
    MARK_KEYS,
    OUTLINE_KEYS,
    PLACE_KEYS,
)
from checkrun.route.schema_check import CHECK_KEYS, READING_KINDS
from checkrun.route.schema_piece import INCLUDE_KEYS, PIECE_KEYS
from checkrun.route.schema_weigh import COST_KEYS, SIGN_KEYS
from checkrun.route.shapes import Shape, shape_of

Schema = dict[str, Any]
#: What a kind of reading is for, and what each of its fields means.
Kinds = Mapping[str, tuple[str, Mapping[str, str]]]

#: The line by which editors with a YAML language server find the schema beside a route.
MODELINE = "# yaml-language-server: $schema=route.schema.json"
#: The same for a piece, which lies one folder deeper.
PIECE_MODELINE = MODELINE.replace("=", "=../")
DRAFT = "https://json-schema.org/draft/2020-12/schema"

#: Every table of keys by the name of what it describes.
TABLES: dict[str, Mapping[str, Key]] = {
    "route": ROUTE_KEYS,
    "car": CAR_KEYS,
    "outline": OUTLINE_KEYS,
    "fact": FACT_KEYS,
    "mark": MARK_KEYS,
    "field": FIELD_KEYS,
    "place": PLACE_KEYS,
    "station": STATION_KEYS,
    "needs": NEED_KEYS,
    "check": CHECK_KEYS,
    "cost": COST_KEYS,
    "sign": SIGN_KEYS,
    "claim": CLAIM_KEYS,
    "only": ONLY_KEYS,
    "include": INCLUDE_KEYS,
    "piece": PIECE_KEYS,
}
_NAMES = {id(table): name for name, table in TABLES.items()}
#: Lists that a layer is laid over member by member; all others it replaces as a whole.
BY_ID = frozenset({"stations", "checks", "facts", "claims"})
#: Tables of what can be taken in from a piece, in a list that holds `include` then.
_TAKEN_IN = frozenset({"station", "check"})
#: What every file says for itself, whether it is a layer or not.
_OWN = ("format", "id")

_TRUE = frozenset({"yes", "on", "true"})
# In a station or check for each of some values `{name}` stands for the value, in ids too.
_ID = "(?:[a-z0-9]|\\{[a-z0-9-]+\\})+"
_YEAR = "(?:18[89][0-9]|19[0-9]{2}|20[0-9]{2}|2100)"
_BASE: dict[str, Schema] = {
    "text": {"type": "string", "pattern": "\\S"},
    "bare": {"type": ["string", "number", "boolean"]},
    "quantity": {"type": ["number", "string"]},
    "id": {"type": ["string", "number"], "pattern": f"^{_ID}(?:-{_ID})*$", "minimum": 0},
    "years": {
        "type": ["integer", "string"],
        "minimum": 1880,
        "maximum": 2100,
        "pattern": f"^\\s*{_YEAR}(?:\\s*-\\s*{_YEAR})?\\s*$",
    },
    "yes-no": {
        "anyOf": [
            {"enum": ["yes", "no"]},
            {"type": "boolean"},
            {
                "type": "string",
                "pattern": "^(?:[Yy][Ee][Ss]|[Nn][Oo]|[Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])$",
            },
        ]
    },
    "names": {
        "type": ["array", "string"],
        "minItems": 1,
        "items": {"$ref": "#/$defs/bare"},
    },
}
#: What belongs to a table beside its keys, always or only where nothing lies below.
_ALWAYS: dict[str, Schema] = {
    "field": {"oneOf": [{"required": [key]} for key in ("text", "digits", "letters")]},
    "include": {"allOf": [{"properties": {"include": {"pattern": f"^{PIECES}/[a-z0-9-]+$"}}}]},
}
_WHOLE: dict[str, Schema] = {
    "fact": {
        "if": {"properties": {"kind": {"const": "choice"}}, "required": ["kind"]},
        "then": {"required": ["choices"]},
    },
    "piece": {"oneOf": [{"required": ["checks"]}, {"required": ["stations"]}]},
    "route": {"allOf": [{"properties": {"stations": {"minItems": 1}, "drop": False}}]},
}


def route_schema(kinds: Kinds) -> Schema:
    """The schema of a route's file.

    Args:
        kinds: What is known of each kind of reading.
    """
    definitions: dict[str, Schema] = {**_BASE, "reading": _reading(kinds)}
    for name in ("route", "piece", "include"):
        _define(name, definitions, complete=False)
    route, piece = definitions.pop("route"), definitions.pop("piece")
    return {
        "$schema": DRAFT,
        "title": "A checkrun route",
        "description": "A route, a layer over another one (`built-on`), or a piece of routes",
        "type": "object",
        "properties": {**piece["properties"], **route["properties"]},
        "required": ["format"],
        "if": {"required": ["piece"]},
        "then": {"propertyNames": {"enum": list(PIECE_KEYS)}, **_whole(PIECE_KEYS)},
        "else": {
            "propertyNames": {"enum": list(ROUTE_KEYS)},
            "required": list(_OWN),
            "if": {"not": {"required": ["built-on"]}},
            "then": _whole(ROUTE_KEYS, leave_out=_OWN),
        },
        "$defs": {name: definitions[name] for name in sorted(definitions)},
    }


def _define(name: str, definitions: dict[str, Schema], *, complete: bool) -> None:
    """Add the definition of a table and of all it leads to.

    Args:
        name: One of `TABLES`.
        definitions: Where it is added.
        complete: Whether it must hold what is required even in a layer.
    """
    if name in definitions:
        return
    definitions[name] = {}  # its place, so that it is not begun a second time
    table = TABLES[name]
    found: Schema = {
        "type": "object",
        "properties": {
            key: {"description": value.says} | _of(value.read, definitions, by_id=key in BY_ID)
            for key, value in table.items()
        },
        "additionalProperties": False,
    }
    required = [key for key, value in table.items() if value.required]
    if complete and required:
        found["required"] = required
    definitions[name] = found | _ALWAYS.get(name, {})


def _of(
    shape: Shape | Callable[..., Any], definitions: dict[str, Schema], *, by_id: bool = False
) -> Schema:
    """The schema of a shape or of what a reader takes; what it leads to is defined too."""
    shape = shape_of(shape)
    of = shape.of
    match shape.kind:
        case "one":
            return {"enum": [*of, *(word in _TRUE for word in of if _may_be_yes_or_no(word))]}
        case "number" | "whole":
            return _number(shape)
        case "list":
            member = shape_of(of)
            if member.kind == "keys":
                items = _members(_NAMES[id(member.of)], definitions, by_id=by_id)
            else:
                items = _of(member, definitions)
            ends = {"minItems": shape.low, "maxItems": shape.high}
            limits = {key: int(end) for key, end in ends.items() if end}
            return {"type": "array", "items": items, **limits}
        case "pairs":
            return {"type": "object", "additionalProperties": _of(of, definitions)}
        case "named":
            return {
                "type": "object",
                "propertyNames": _ref("id"),
                "additionalProperties": _of(of, definitions),
            }
        case "bounds":
            bound = _ref("quantity")
            return {
                "type": "object",
                "properties": dict.fromkeys(of, bound),
                "additionalProperties": False,
            }
        case "keys":
            name = _NAMES[id(of)]
            _define(name, definitions, complete=False)
            return _ref(name)
    return _ref(shape.kind) | ({"maxLength": int(shape.high)} if shape.high else {})


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _may_be_yes_or_no(word: str) -> bool:
    return misread_as(word) == "true or false"


def _number(shape: Shape) -> Schema:
    found: Schema = {"type": "integer" if shape.kind == "whole" else "number"}
    if shape.low == shape.high:
        return {"const": _plain(shape.low)}
    if shape.low:
        found["exclusiveMinimum" if shape.above else "minimum"] = _plain(shape.low)
    if shape.high:
        found["exclusiveMaximum" if shape.below else "maximum"] = _plain(shape.high)
    return found


def _plain(written: str) -> int | float:
    value = Decimal(written)
    return int(value) if value == int(value) else float(value)


def _members(name: str, definitions: dict[str, Schema], *, by_id: bool) -> Schema:
    """The members of a list of mappings; those told apart by id need one even in a layer."""
    _define(name, definitions, complete=not by_id)
    if not by_id:
        return _ref(name)
    if name not in _TAKEN_IN:
        return _ref(name) | {"required": ["id"]}
    return {
        "if": {"required": ["include"]},
        "then": _ref("include"),
        "else": _ref(name) | {"required": ["id"]},
    }


def _whole(table: Mapping[str, Key], *, leave_out: tuple[str, ...] = ()) -> Schema:
    """What must be there where nothing lies below: only what is required, at every depth."""
    inner = {key: _whole_of(shape_of(value.read), key) for key, value in table.items()}
    below = {key: schema for key, schema in inner.items() if schema}
    required = [key for key, value in table.items() if value.required and key not in leave_out]
    return {
        **({"required": required} if required else {}),
        **({"properties": below} if below else {}),
        **_WHOLE.get(_NAMES[id(table)], {}),
    }


def _whole_of(shape: Shape, key: str) -> Schema:
    if shape.kind == "keys":
        return _whole(shape.of)
    if shape.kind == "named":
        found = _whole_of(shape_of(shape.of), "")
        return {"additionalProperties": found} if found else {}
    if shape.kind == "list" and key in BY_ID:
        of = shape_of(shape.of).of
        found = _whole(of, leave_out=("id",))
        if _NAMES[id(of)] in _TAKEN_IN:
            return {"items": {"if": {"required": ["include"]}, "else": found}}
        return {"items": found}
    return {"required": ["kind"]} if shape.kind == "reading" else {}


def _reading(kinds: Kinds) -> Schema:
    """A reading: by its kind other keys; a layer may leave the kind to the route below."""
    every = dict.fromkeys(field for kind in READING_KINDS for field in fields_of(kind))
    general = {field: _of(shape_of_field(field), {}) for field in every}
    general["kind"]["description"] = "; ".join(f"{kind}: {kinds[kind][0]}" for kind in kinds)
    cases: list[Schema] = []
    for kind in READING_KINDS:
        means = kinds[kind][1]
        fields = fields_of(kind)
        described = {field: {"description": means[field]} for field in fields if field != "kind"}
        cases.append(
            {
                "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
                "then": {"properties": described, "propertyNames": {"enum": list(fields)}},
            }
        )
    return {
        "type": "object",
        "properties": general,
        "additionalProperties": False,
        "allOf": cases,
    }
