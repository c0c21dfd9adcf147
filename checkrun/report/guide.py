"""The guide to the route format, made of the tables that the reader and the schema are made of."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from textwrap import indent, wrap
from typing import Any

from checkrun.judge.catalog import COMMON, KINDS
from checkrun.route.example_readings import COMMON_FIELDS, READINGS, Typed
from checkrun.route.examples import EXAMPLES, LAYER, ROUTE
from checkrun.route.jsonschema import BY_ID, MODELINE, PIECE_MODELINE, TABLES, route_schema
from checkrun.route.read import Key
from checkrun.route.reading_shapes import shape_of_field
from checkrun.route.schema_check import READING_COMMON, READING_KINDS
from checkrun.route.shapes import Shape, shape_of

_WIDTH = 118
_HEADINGS: dict[str, tuple[str, str]] = {
    "route": (
        "The file",
        "`format` and `id` stand in every file. A layer, which has `built-on`, needs no other key: "
        "what it does not say is as in the route below. `stations`, `checks`, `facts` and `claims` "
        "are laid over those below by their `id`, mappings key by key; any other list takes the "
        "place of the one below.",
    ),
    "car": ("The car", "Under `car`. Measures are in metres."),
    "outline": ("The outline", "Under `car`, `outline`: the car as a box seen from above."),
    "fact": ("A fact", "Under `car`, `facts`: what is asked before the walk."),
    "mark": (
        "A mark",
        "Under `marks`, by its id: a stamped or cast number, what it is made of, and what it must "
        "agree with.",
    ),
    "field": (
        "A field of a mark",
        "Under `fields` of a mark, from left to right. Each has just one of `text`, `digits` and "
        "`letters`.",
    ),
    "place": ("A place", "Under `places`, by its id: a point on the car, in metres."),
    "station": ("A station", "Under `stations`: where to stand, and the state of the car there."),
    "needs": ("The state of the car", "Under `needs` of a station."),
    "check": ("A check", "Under `checks` of a station."),
    "cost": (
        "What it costs",
        "Under `cost` of a check: to put right a fault that is there. Ranges are written "
        "`[low, likely, high]`.",
    ),
    "sign": (
        "A sign",
        "Under `signs` of a check: how likely each result is `[if the claim is true, if it is "
        "false]`. Each of the two columns adds up to 1. A `stamp` or `date-code` reading is "
        "weighed by its characters, so that its sign may do without.",
    ),
    "claim": ("A claim", "Under `claims`: what is said of the car, and weighed."),
    "only": (
        "For some cars only",
        "Under `only` of a station, a check, a sign or a claim: all that is given must fit.",
    ),
    "include": (
        "Taking a piece in",
        "In place of a check or a station: all checks or stations of a piece. With `for-each`, "
        "which a check or a station can have too, one for each value: `{corner}` in a text stands "
        "for the words (`left front`), `{corner-id}` and any `{corner}` in an id for the value "
        "(`left-front`), and the value is put behind each id that does not name it.",
    ),
    "piece": (
        "A piece",
        "A file in the folder `pieces`, for more than one route. It holds `checks` or `stations`, "
        "not both; the route's own marks, places and claims win over those of the same id.",
    ),
}
_VALUES = (
    (
        "text",
        "not empty. Quotes are needed round one that holds `: ` or ` #`, or that begins "
        "with a sign such as `[`, `{`, `*`, `&`, `!`, `>` or a quote; and round one that looks "
        "like a number, a date, or yes or no",
    ),
    ("short text", "the same, but numbers, and yes and no, may stand without quotes"),
    ("id", "small letters, digits and single hyphens; an id made of digits only is better avoided"),
    ("number", "digits with a point, without a unit and without quotes: `1.5`"),
    ("quantity", "a number in the `unit` of the reading, or a text with a unit: `1.6`, `1/16 in`"),
    ("years", "a model year or a closed range: `1966`, `1963-1968`"),
    ("yes or no", "just so"),
    ("list", "one `- ` a line, or `[one, other]`"),
)


def kinds() -> dict[str, tuple[str, Mapping[str, str]]]:
    """What each kind of reading is for, and what a route can say of it."""
    return {name: (kind.says, {**COMMON, **kind.spec}) for name, kind in KINDS.items()}


def schema() -> dict[str, Any]:
    """The JSON Schema of route files."""
    return route_schema(kinds())


def schema_text() -> str:
    """The schema as it stands in `route.schema.json`, in letters that every terminal can show."""
    return json.dumps(schema(), indent=2) + "\n"


def guide() -> str:
    """The whole guide, as Markdown."""
    return "\n".join([*_beginning(), *_tables(), *_readings(), *_limits_of_the_schema(), ""])


def _beginning() -> Iterator[str]:
    yield "# How a route is written"
    yield ""
    yield "<!-- Made by `checkrun schema --guide`, from the tables the reader uses. -->"
    yield ""
    yield from _wrapped(
        "A route is a YAML file named after its `id`. Your own lie in the folder that `checkrun "
        "routes` shows, and can be laid over the shipped ones here. `checkrun lint NAME` tells "
        "everything that is wrong, with its line and what to do."
    )
    yield ""
    yield from _wrapped(
        "Editors that know YAML complete the keys, show what they mean and mark what is wrong as "
        "you type, if this is the first line and `route.schema.json` lies beside the file "
        "(`checkrun schema > route.schema.json` writes it):"
    )
    yield from (
        "",
        "```yaml",
        MODELINE,
        "```",
        "",
        "In a piece, which lies one folder deeper, it is:",
    )
    yield from ("", "```yaml", PIECE_MODELINE, "```", "")
    yield "The smallest route there can be:"
    yield from ("", "```yaml", ROUTE.rstrip(), "```", "")
    yield "A layer over it for one model year, which says only what differs:"
    yield from ("", "```yaml", LAYER.rstrip(), "```", "", "## Values", "")
    yield from _table(("value", "how it is written"), _VALUES)


def _tables() -> Iterator[str]:
    for name, table in TABLES.items():
        heading, about = _HEADINGS[name]
        yield from ("", f"## {heading}", "")
        yield from _wrapped(about)
        yield ""
        rows = [_row(key, value, EXAMPLES[name][key]) for key, value in table.items()]
        yield from _table(("key", "needed", "value", "what it means", "example"), rows)
        yield from _longer(EXAMPLES[name])


def _longer(examples: Mapping[str, str]) -> Iterator[str]:
    """The examples that need more than a line."""
    for key, example in examples.items():
        if _is_long(example):
            yield from ("", "```yaml", f"{key}:", indent(example.rstrip(), "  "), "```")


def _is_long(example: str) -> bool:
    return "\n" in example


def _row(key: str, value: Key, example: str) -> tuple[str, ...]:
    needed = "required" if value.required else ""
    shown = "below the table" if _is_long(example) else f"`{example}`"
    return f"`{key}`", needed, _named(value.read, key), value.says, shown


def _named(what: Shape | Callable[..., Any], key: str = "") -> str:
    """A shape in words, with a link to the keys of what has keys of its own."""
    shape = shape_of(what)
    match shape.kind:
        case "one":
            return ", ".join(f"`{word}`" for word in shape.of)
        case "number" | "whole":
            return _number(shape)
        case "list" if shape.low and shape.low == shape.high:
            return f"{shape.low} of: {_named(shape.of)}"
        case "list":
            by = " by `id`" if key in BY_ID else ""
            return f"list of: {_named(shape.of)}{by}"
        case "pairs":
            return f"`name: value`, each {_named(shape.of)}"
        case "named":
            return f"`id: value`, each {_named(shape.of)}"
        case "names":
            return "list of: short text"
        case "bounds":
            return " and ".join(f"`{bound}`" for bound in shape.of)
        case "keys":
            name = next(name for name, table in TABLES.items() if table is shape.of)
            heading = _HEADINGS[name][0]
            return f"[{heading.lower()}](#{heading.lower().replace(' ', '-')})"
        case "reading":
            return "[a reading](#readings)"
    plain = {"bare": "short text", "yes-no": "yes or no"}.get(shape.kind, shape.kind)
    return f"{plain} of {shape.high} characters at most" if shape.high else plain


def _number(shape: Shape) -> str:
    what = "whole number" if shape.kind == "whole" else "number"
    if shape.low and shape.low == shape.high:
        return f"`{shape.low}`"
    low = f"above {shape.low}" if shape.above else f"from {shape.low}"
    if not shape.high:
        return f"{what} {low}"
    high = f"below {shape.high}" if shape.below else f"to {shape.high}"
    return f"{what} {low} {high}"


def _readings() -> Iterator[str]:
    yield from ("", "## Readings", "")
    yield from _wrapped(
        "Under `reading` of a check: what is measured or read there. Its `kind` says how it is "
        "typed and judged, and which fields it can have. A layer may change single fields; with "
        "another `kind` it begins anew. `checkrun judge` judges one reading, to try a limit."
    )
    yield from ("", "Every kind can have these fields:", "")
    names = [field for field in READING_COMMON if field != "kind"]
    yield from _table(
        ("field", "value", "what it means", "example"),
        [_field(name, COMMON[name], COMMON_FIELDS[name]) for name in names],
    )
    for kind, fields in READING_KINDS.items():
        yield from ("", f"### {kind}", "")
        about = KINDS[kind].says
        yield f"{about[0].upper()}{about[1:]}."
        yield ""
        rows = [
            _field(field, KINDS[kind].spec[field], _example(READINGS[kind], field))
            for field in fields
        ]
        yield from _table(("field", "value", "what it means", "example"), rows)
        yield ""
        for typed in READINGS[kind]:
            yield f"- `{written(kind, typed)}`: `{typed.line}` typed at the car is a {typed.result}"


def _field(name: str, means: str, example: str) -> tuple[str, ...]:
    return f"`{name}`", _named(shape_of_field(name)), means, f"`{example}`"


def _example(readings: Iterable[Typed], field: str) -> str:
    return next(typed.fields[field] for typed in readings if field in typed.fields)


def written(kind: str, typed: Typed) -> str:
    """A reading of the examples as it stands in a route, on one line."""
    fields = {"kind": kind, **typed.fields}
    return "{" + ", ".join(f"{name}: {value}" for name, value in fields.items()) + "}"


def _limits_of_the_schema() -> Iterator[str]:
    yield from ("", "## What the schema can't see", "")
    yield from _wrapped(
        "An editor that finds nothing wrong has not read the whole route; `checkrun lint` has. "
        "Only lint sees:"
    )
    yield ""
    for line in (
        "names that lead nowhere: places, marks, facts, claims, pieces, rows of tables, the route "
        "below, and whether a file is named after its id",
        "ids used twice, rings, and what a layer drops that is not there",
        "what is missing from a check or station that a layer adds, and what a layer leaves "
        "unfinished",
        "figures that don't fit together: likelihoods that don't add up, a range that falls, years "
        "that run backwards, an outline that is no car, characters a field can't agree with",
        "what YAML has read away: a key that stands twice, `0123` and `1e3` for numbers, `12:30` "
        "and `no` in older readers, anchors, aliases and merge keys",
        "what says nothing: a sign, a claim, a cause or a shared labour without a second",
    ):
        yield from _wrapped(line, "- ")
    yield ""
    yield from _wrapped(
        "The schema is stricter in one thing: a number must stand without quotes, and a short text "
        "may not be left out behind its colon."
    )


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    yield "| " + " | ".join(head) + " |"
    yield "|---" * len(head) + "|"
    for row in rows:
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"


def _wrapped(text: str, margin: str = "") -> list[str]:
    return wrap(text, _WIDTH, initial_indent=margin, subsequent_indent=" " * len(margin))
