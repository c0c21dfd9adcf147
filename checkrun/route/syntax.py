"""What is wrong with a text that is no YAML, said so that an author need not know YAML's words."""

from __future__ import annotations

import re
from dataclasses import dataclass

import yaml

from checkrun.route.problems import Problem, place_of


@dataclass(frozen=True, slots=True)
class _Case:
    """One way of not being YAML.

    Attributes:
        said: Parts of what the C reader or the Python reader says of it.
        message: What we say instead.
        hint: What to do.
        at_start: Whether the place to look at is where the broken piece starts, not where it ends.
    """

    said: tuple[str, ...]
    message: str
    hint: str
    at_start: bool = False


_QUOTE_IT = "Put the text in quotes."
_CASES = (
    _Case(
        ("mapping values are not allowed",),
        "a colon is not expected here",
        "A text holding `: ` must stand in quotes. If this is a key, look at its indentation and "
        "at the line above.",
    ),
    _Case(
        ("could not find expected ':'",),
        "this line has no colon behind its key",
        "Write `key: value`; a text that runs on must be indented deeper than its key.",
        at_start=True,
    ),
    _Case(
        ("unexpected end of stream", "unexpected document separator", "unexpected document ind"),
        "the quote opened here is not closed",
        "Put the same quote at the end of the text.",
        at_start=True,
    ),
    _Case(
        ("',' or ']'",),
        "the list opened here with `[` lacks a comma or its `]`",
        "A text in it that holds `,` `[` `]` `{` `}` or `: ` must stand in quotes.",
        at_start=True,
    ),
    _Case(
        ("',' or '}'",),
        "the mapping opened here with `{` lacks a comma or its `}`",
        "A text in it that holds `,` `[` `]` `{` `}` or `: ` must stand in quotes.",
        at_start=True,
    ),
    _Case(
        ("sequence entries are not allowed",),
        "a list can't start here",
        "Start it on a line of its own; if a text is meant, put it in quotes.",
    ),
    _Case(
        ("did not find expected key", "<block end>", "expected '-' indicator"),
        "this does not fit what stands above it",
        "Is the line indented like its neighbours? A text that starts with a quote must also end "
        "with it.",
    ),
    _Case(("cannot start any token",), "a text can't start with this character", _QUOTE_IT),
    _Case(
        ("alphabetic or numeric character",),
        "a text can't start with `*` or `&`",
        _QUOTE_IT,
        at_start=True,
    ),
    _Case(("tag", "expected URI"), "a text can't start with `!` or `<`", _QUOTE_IT, at_start=True),
    _Case(
        ("escape", "hexdecimal"),
        "this backslash means nothing in double quotes",
        "Put the text in single quotes; there a backslash is a backslash.",
    ),
    _Case(
        ("node content",),
        "a value is expected here",
        "If this character belongs to a text, put the text in quotes.",
    ),
    _Case(
        ("a line break", "or line break", "indentation indicator"),
        "a text can't start with `>` or `|`",
        "Put the text in quotes, or start it on the next line.",
        at_start=True,
    ),
    _Case(
        ("document start", "incompatible YAML document", "directive", "version"),
        "lines with `%` or `...` are not used in routes",
        "Take the line out.",
    ),
)


def not_yaml(error: yaml.MarkedYAMLError, text: str, file: str) -> Problem:
    """The problem of a text that breaks YAML's own rules."""
    said = error.problem or ""
    case = next((case for case in _CASES if any(part in said for part in case.said)), None)
    mark = error.problem_mark or error.context_mark
    if case is None:
        message, hint = f"not YAML: {said or 'it can not be read'}", ""
    else:
        message, hint = case.message, case.hint
        mark = (case.at_start and error.context_mark) or mark
    line, column = (1, 1) if mark is None else (mark.line + 1, mark.column + 1)
    end = place_of(text, len(text.rstrip()))
    if (line, column) > end:  # the reader looks for more behind the last line
        line, column = end
        message, hint = "the file ends in the middle of a value", "Is a `]` or `}` missing?"
    return Problem(file, line, column, "R005", message, hint)


_FORBIDDEN = re.compile(
    "[^\\t\\n\\r\\x20-\\x7e\\x85\\xa0-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]"
)


def unreadable(error: yaml.reader.ReaderError, text: str, file: str) -> Problem:
    """A character that YAML forbids; its place is counted here, as the reader gives only a byte."""
    found = _FORBIDDEN.search(text)
    if found is None:
        return Problem(file, 1, 1, "R005", f"not YAML: {error.reason}")
    line, column = place_of(text, found.start())
    return Problem(
        file,
        line,
        column,
        "R005",
        f"a control character (U+{ord(found.group()):04X}) can't stand here",
        "Delete it; it may not show in your editor.",
    )


_LEADING_TAB = re.compile("(?:^|(?<=[\\n\\r\\x85\\u2028\\u2029])) *\\t")


def tabs(text: str, file: str) -> list[Problem]:
    """Every line that is indented with a tab."""
    problems: list[Problem] = []
    line, start = 1, 0
    for match in _LEADING_TAB.finditer(text):
        further, _ = place_of(text[start : match.end()], match.end() - start)
        line, start = line + further - 1, match.start()
        problems.append(
            Problem(
                file,
                line,
                match.end() - match.start(),
                "R006",
                "a tab is used to indent",
                "YAML is indented with spaces; put two spaces instead.",
            )
        )
    return problems
