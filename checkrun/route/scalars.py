"""Plain scalars that other YAML readers do not take for the text that was written.

Source: the YAML 1.1 type repository (yaml.org/type: bool, int, float, null, timestamp, merge,
value) and the core schema of YAML 1.2.2, chapter 10.3.2. The tests hold both against
general-purpose readers.
"""

from __future__ import annotations

import re

_MISREAD: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "true or false",
        re.compile(
            r"y|Y|yes|Yes|YES|n|N|no|No|NO|true|True|TRUE|false|False|FALSE"
            r"|on|On|ON|off|Off|OFF"
        ),
    ),
    ("nothing at all", re.compile(r"~|null|Null|NULL")),
    ("a merge key", re.compile(r"<<")),
    ("a default value", re.compile(r"=")),
    (
        "a date",
        re.compile(
            r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
            r"|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[Tt]|[ \t]+)[0-9]{1,2}:[0-9]{2}:[0-9]{2}"
            r"(?:\.[0-9]*)?(?:[ \t]*(?:Z|[-+][0-9]{1,2}(?::[0-9]{2})?))?"
        ),
    ),
    (
        "a number to base 60",
        re.compile(
            r"[-+]?[1-9][0-9_]*(?::[0-5]?[0-9])+"
            r"|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+\.[0-9_]*"
        ),
    ),
    ("an octal number", re.compile(r"[-+]?0o?[0-7_]+")),
    ("a binary number", re.compile(r"[-+]?0b[01_]+")),
    ("a hexadecimal number", re.compile(r"[-+]?0x[0-9a-fA-F_]+")),
    (
        "a number",
        re.compile(
            r"[-+]?[0-9][0-9_]*"
            r"|[-+]?[0-9][0-9_]*\.[0-9_]*(?:[eE][-+][0-9]+)?"
            r"|\.[0-9][0-9_]*(?:[eE][-+][0-9]+)?"
            r"|[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?"
            r"|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)"
        ),
    ),
)

#: The characters a scalar that is misread can begin with: all other texts are let through quickly.
_SUSPECT = frozenset("yYnNtTfFoO~<=+-.0123456789")


def misread_as(text: str) -> str:
    """What a YAML 1.1 or 1.2 reader makes of a plain scalar instead of text, or an empty text.

    `0123` gives `an octal number`, `no` gives `true or false`, `12:30` a number to base 60.
    """
    if not text or text[0] not in _SUSPECT:
        return ""
    return next((what for what, pattern in _MISREAD if pattern.fullmatch(text)), "")
