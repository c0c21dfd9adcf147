"""What a command is given on standard input, as JSON or as YAML.

The values are texts, numbers, lists and mappings as they were written; what they mean is up to the
command. JSON needs no reader of YAML.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from checkrun.commands.given import NAME, Given, Source, exact, shown, wrong


def read(noun: str, example: str, largest: int = 1 << 20) -> Given:
    """Read all of standard input; what it holds is a mapping.

    Args:
        noun: What is expected there, such as `reading`.
        example: One of it in few words, shown when there is nothing.
        largest: Most bytes it may have.

    Raises:
        WrongUse: It can't be read as JSON or YAML, or it is no mapping; one line that says where.
    """
    raw = b"" if sys.stdin is None else sys.stdin.buffer.read(largest + 1)
    if len(raw) > largest:
        raise wrong(f"{NAME}: more than {largest >> 20} MiB; one {noun} is expected")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        byte = error.object[error.start]
        raise wrong(f"{NAME}: byte 0x{byte:02x} is not UTF-8") from None
    if not text.strip():
        raise wrong(f"{NAME} is empty; write a {noun} there, such as {example}")
    is_json = True
    try:
        value = json.loads(
            text, parse_float=exact, parse_constant=str, object_pairs_hook=_once_each
        )
    except json.JSONDecodeError:
        value, is_json = _from_yaml(text), False
    except RecursionError:
        raise wrong(f"{NAME}: the values are nested too deep for a {noun}") from None
    except ValueError as error:
        # The one ValueError that is left is an integer too long to be taken for a number.
        raise wrong(f"{NAME}: {str(error).partition(';')[0].lower()}") from None
    if not isinstance(value, dict):
        raise wrong(f"{NAME}: `field: value` pairs expected, such as {example}")
    return Given(value, Source(text, is_json))


def warn(text: str) -> None:
    """Tell something that does not keep the command from being done."""
    print(f"checkrun: {text}", file=sys.stderr)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        from collections import Counter

        twice = next(name for name, count in Counter(n for n, _ in pairs).items() if count > 1)
        raise wrong(f"{NAME}: `{shown(twice)}` is there twice; keep one of the two")
    return fields


def _from_yaml(text: str) -> Any:
    """The values as texts, lists and mappings, nothing taken for a number, a date or a truth."""
    from checkrun.route.nodes import Map, Node, Scalar, Seq, parse

    def written(node: Node) -> Any:
        if isinstance(node, Map):
            return {name: written(value) for name, (_, value) in node.entries.items()}
        if isinstance(node, Seq):
            return [written(item) for item in node.items]
        return node.text if isinstance(node, Scalar) else ""

    root, problems = parse(text, NAME)
    if problems or root is None:
        first = min(problems)
        raise wrong(f"{first}. {first.hint}".rstrip())
    return written(root)
