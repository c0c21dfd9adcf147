"""The command `judge`: one reading on standard input, its judgement on standard output."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from checkrun.commands import Arguments
from checkrun.judge.catalog import COMMON, KINDS
from checkrun.judge.judgement import Car, Judgement, as_data
from checkrun.judge.kinds import judge as judged
from checkrun.session.clock import now

#: A reading is a few lines; a megabyte of it is not meant.
_LARGEST = 1 << 20
_EXAMPLE = "{kind: tread, unit: mm, least: 1.6, tyres: {lf: [4.1, 4.0, 2.2]}}"


def judge(args: Arguments) -> int:
    """Judge one reading, or list the kinds there are."""
    if args.kinds:
        _print_kinds(as_json=args.json)
        return 0
    fields = _fields(_read())
    judgement = judged(fields, Car(today=now().date()))
    if args.json:
        _print_json(as_data(judgement))
    else:
        print("\n".join(_lines(judgement)))
    return 0


def _read() -> str:
    raw = b"" if sys.stdin is None else sys.stdin.buffer.read(_LARGEST + 1)
    if len(raw) > _LARGEST:
        raise _wrong(f"standard input: more than {_LARGEST >> 20} MiB; one reading is expected")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        byte = error.object[error.start]
        raise _wrong(f"standard input: byte 0x{byte:02x} is not UTF-8") from None
    if not text.strip():
        raise _wrong(f"standard input is empty; write a reading there, such as {_EXAMPLE}")
    return text


def _fields(text: str) -> Mapping[str, Any]:
    """The fields of a reading from JSON, or else from YAML read strictly."""
    try:
        fields = json.loads(
            text, parse_float=Decimal, parse_constant=str, object_pairs_hook=_once_each
        )
    except json.JSONDecodeError:
        fields = _from_yaml(text)
    except RecursionError:
        raise _wrong("standard input: the values are nested too deep for a reading") from None
    except ValueError as error:
        # The one ValueError that is left is an integer too long to be taken for a number.
        raise _wrong(f"standard input: {str(error).partition(';')[0].lower()}") from None
    if not isinstance(fields, Mapping):
        raise _wrong(f"standard input: `field: value` pairs expected, such as {_EXAMPLE}")
    return fields


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in fields if names.count(name) > 1)
        raise _wrong(f"standard input: `{twice[:40]}` is there twice; keep one of the two")
    return fields


def _from_yaml(text: str) -> Any:
    """The fields as texts, lists and mappings, nothing taken for a number, a date or a truth."""
    from checkrun.route.nodes import Map, Node, Scalar, Seq, parse

    def written(node: Node) -> Any:
        if isinstance(node, Map):
            return {name: written(value) for name, (_, value) in node.entries.items()}
        if isinstance(node, Seq):
            return [written(item) for item in node.items]
        return node.text if isinstance(node, Scalar) else ""

    root, problems = parse(text, "standard input")
    if problems or root is None:
        first = min(problems)
        raise _wrong(f"{first}. {first.hint}".rstrip())
    return written(root)


def _wrong(text: str) -> Exception:
    """What the boundary tells as wrong use; imported only when there is something to tell."""
    from checkrun.commands.context import WrongUse

    return WrongUse(text)


def _print_json(data: Any) -> None:
    print(json.dumps(data, ensure_ascii=False, indent=2))


def _lines(judgement: Judgement) -> list[str]:
    """The judgement for a person: result and reasons, problems, values, sources."""
    lines = [judgement.outcome.value]
    lines += [f"  {reason}" for reason in judgement.reasons]
    lines += [f"problem: {problem}" for problem in judgement.problems]
    width = max((len(name) for name in judgement.values), default=0)
    lines += [f"{name:{width}}  {_said(value)}" for name, value in judgement.values.items()]
    lines += [f"source: {source}" for source in judgement.sources]
    return lines


def _said(value: Any) -> str:
    if value is None:
        return "-"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _print_kinds(*, as_json: bool) -> None:
    if as_json:
        kinds = [
            {"kind": kind.name, "says": kind.says, "spec": kind.spec, "value": kind.value}
            for kind in KINDS.values()
        ]
        _print_json(kinds)
        return
    tables = [(kind.name, kind.says, {**kind.spec, **kind.value}) for kind in KINDS.values()]
    for name, says, fields in [*tables, ("all kinds", "what each of them may have beside", COMMON)]:
        print(f"{name:15}{says}")
        for field, means in fields.items():
            print(f"    {field:18} {means}")
