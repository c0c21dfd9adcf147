"""The command `judge`: one reading on standard input, its judgement on standard output."""

from __future__ import annotations

import json
from typing import Any

from checkrun.commands import Arguments
from checkrun.commands.standard_input import read
from checkrun.judge.catalog import COMMON, KINDS
from checkrun.judge.judgement import Car, Judgement, as_data
from checkrun.judge.kinds import judge as judged
from checkrun.session.clock import now

_EXAMPLE = "{kind: tread, unit: mm, least: 1.6, tyres: {lf: [4.1, 4.0, 2.2]}}"


def judge(args: Arguments) -> int:
    """Judge one reading, or list the kinds there are."""
    if args.kinds:
        _print_kinds(as_json=args.json)
        return 0
    fields = read("reading", _EXAMPLE).value
    judgement = judged(fields, Car(today=now().date()))
    if args.json:
        _print_json(as_data(judgement))
    else:
        print("\n".join(_lines(judgement)))
    return 0


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
