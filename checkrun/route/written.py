"""Values written as YAML that reads back as the same texts, plain where that is safe."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from checkrun.route.scalars import misread_as

#: No line is longer where it can be broken.
_WIDTH = 112
_NEVER = r"\x00-\x1f\x7f-\xa0\u2028\u2029\ufeff:#"
#: A plain text on a line of its own, and between brackets.
_PLAIN = re.compile(rf"[A-Za-z0-9][^{_NEVER}]*")
_PLAIN_IN_FLOW = re.compile(rf"[A-Za-z0-9][^{_NEVER}\[\]{{}},\"'`?]*")
_NUMBER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
#: What a reader takes for a line end or refuses, and json leaves as it is.
_ESCAPED = re.compile("[\x7f-\xa0\u2028\u2029\ufeff]")


def scalar(text: str, *, in_flow: bool = False) -> str:
    """A text on one line, in double quotes where a plain one could be read as anything else."""
    plain = _PLAIN_IN_FLOW if in_flow else _PLAIN
    if plain.fullmatch(text) and text == text.strip() and not misread_as(text):
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", quoted)


def flow(value: Any) -> str:
    """Texts, lists and mappings of them in one line; a text that is a number stays plain."""
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{_key(key)}: {flow(below)}' for key, below in value.items())}}}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(flow(item) for item in value)}]"
    text = str(value)
    return text if _NUMBER.fullmatch(text) else scalar(text, in_flow=True)


def _key(name: str) -> str:
    """A key; those of the format and ids stand plain, as `y` does in every place."""
    return name if _PLAIN_IN_FLOW.fullmatch(name) and name == name.strip() else flow(name)


def entry(key: str, value: Any, indent: int = 0) -> Iterator[str]:
    """The lines of `key: value`, a text folded and a mapping opened where one line is too long."""
    margin = " " * indent
    if isinstance(value, str):
        yield from _text(f"{margin}{key}: ", value, indent)
        return
    line = f"{margin}{key}: {flow(value)}"
    if len(line) <= _WIDTH or not isinstance(value, Mapping):
        yield line
        return
    yield f"{margin}{key}:"
    for name, below in value.items():
        yield from entry(_key(name), below, indent + 2)


def item(value: Any, indent: int = 0) -> Iterator[str]:
    """The lines of a member of a list."""
    margin = " " * indent
    if isinstance(value, str):
        yield from _text(f"{margin}- ", value, indent)
        return
    line = f"{margin}- {flow(value)}"
    if len(line) <= _WIDTH or not isinstance(value, Mapping):
        yield line
        return
    first = True
    for name, below in value.items():
        for part in entry(_key(name), below, indent + 2):
            yield f"{margin}- {part[indent + 2 :]}" if first else part
            first = False


def _text(head: str, text: str, indent: int) -> Iterator[str]:
    line = head + (text if _NUMBER.fullmatch(text) else scalar(text))
    inner = " " * (indent + 2)
    folded = textwrap.wrap(
        text, _WIDTH - len(inner), break_long_words=False, break_on_hyphens=False
    )
    # A blank in front would be taken for the depth of the block.
    plain = " ".join(folded) == text == " ".join(text.split())
    if len(line) <= _WIDTH or not plain or _ESCAPED.search(text):
        yield line
        return
    yield f"{head}>-"
    yield from (inner + part for part in folded)
