"""The keys of a check that are weighed: what it costs to put right, and what its signs say."""

from __future__ import annotations

from decimal import Decimal

from checkrun.route.model import Cost, Sign
from checkrun.route.nodes import Map, Node
from checkrun.route.numbers import number, part_of_one, probability
from checkrun.route.read import Key, Reader, filled, ident, only, run_of
from checkrun.route.shapes import Shape, takes

#: How far the likelihoods of all results may be from 1 together: rounding of two decimals.
ROUNDING = Decimal("0.005")
#: The keys of the results of a sign, in the order of the model's rows.
RESULTS = ("pass", "concern", "fail")

_Row = tuple[Decimal, Decimal]

_three = run_of(
    3,
    number("0", hint="Write 0 for what costs nothing."),
    "a range of low, likely and high",
    "three numbers in brackets: [1, 2, 4]",
)


@takes(_three)
def _rising(reader: Reader, node: Node) -> tuple[Decimal, Decimal, Decimal] | None:
    values = _three(reader, node)
    if values is None:
        return None
    low, likely, high = values
    if not low <= likely <= high:
        reader.tell(
            node,
            "R024",
            "low, likely and high must rise",
            f"Write [{', '.join(str(value) for value in sorted(values))}].",
        )
        return None
    return low, likely, high


COST_KEYS: dict[str, Key] = {
    "hours": Key(_rising, "low, likely and high hours of work", required=True),
    "parts": Key(_rising, "low, likely and high price of parts", required=True),
    "chance": Key(part_of_one, "how likely a concern here has to be put right, 0.5 if not given"),
    "base-rate": Key(probability, "how often the fault is there when this was not examined"),
    "together": Key(ident, "findings of the same key share their labour: the larger counts once"),
}
_COST_NAMES = (
    *((key, key) for key in ("hours", "parts", "chance", "together")),
    ("base-rate", "base_rate"),
)


@takes(Shape("keys", COST_KEYS))
def read_cost(reader: Reader, node: Node) -> Cost | None:
    """What it takes to put a fault right."""
    values = reader.keys(node, COST_KEYS, "`cost`")
    if values.get("hours") is None or values.get("parts") is None:
        return None
    return Cost(**filled(values, _COST_NAMES))


_likelihoods = run_of(
    2,
    probability,
    "how likely this result is if the claim is true, and if it is false,",
    "two numbers in brackets: [0.9, 0.2]",
)

SIGN_KEYS: dict[str, Key] = {
    "claim": Key(ident, "the claim it speaks for or against", required=True),
    "cause": Key(ident, "signs of the same cause are not independent"),
    "pass": Key(_likelihoods, "likelihoods of a pass: [claim true, claim false]"),
    "concern": Key(_likelihoods, "likelihoods of a concern: [claim true, claim false]"),
    "fail": Key(_likelihoods, "likelihoods of a fail: [claim true, claim false]"),
    "only": Key(only, "the cars it applies to"),
}
_SIGN_NAMES = (
    *((key, key) for key in ("cause", "only")),
    *((key, f"on_{key}") for key in RESULTS),
)


@takes(Shape("keys", SIGN_KEYS))
def read_sign(reader: Reader, node: Node) -> Sign | None:
    """What the results of a check say of a claim."""
    values = reader.keys(node, SIGN_KEYS, "a sign")
    rows = {key: values[key] for key in RESULTS if key in values}
    # Of a row that can't be used everything has been told.
    if rows and None not in rows.values() and isinstance(node, Map):
        _check_rows(reader, node, rows)
    if values.get("claim") is None:
        return None
    return Sign(values["claim"], **filled(values, _SIGN_NAMES))


def _check_rows(reader: Reader, node: Map, rows: dict[str, _Row]) -> None:
    """Tell likelihoods that don't add up, or that are the same whether the claim is true or not."""
    true = sum((row[0] for row in rows.values()), Decimal(0))
    false = sum((row[1] for row in rows.values()), Decimal(0))
    sums = ((true, "if the claim is true"), (false, "if it is false"))
    off = [f"{total} {when}" for total, when in sums if abs(total - 1) > ROUNDING]
    if off:
        message = f"the likelihoods add up to {' and '.join(off)}, not to 1"
        reader.tell(node, "R050", message, _whole(rows, 1 - true, 1 - false))
    if all(if_true == if_false for if_true, if_false in rows.values()):
        reader.tell(
            node,
            "R051",
            "this sign says nothing: each result is as likely whether the claim is true or false",
            "Let the two likelihoods of a result differ, or take the sign out.",
            warning=True,
        )


def _whole(rows: dict[str, _Row], true: Decimal, false: Decimal) -> str:
    """How likelihoods would add up, given what is left to 1."""
    missing = [key for key in RESULTS if key not in rows]
    if len(missing) == 1 and true > 0 and false > 0:
        return f"Write what is left too: `{missing[0]}: [{true}, {false}]`."
    if missing:
        return f"Write how likely each result is: `{'` and `'.join(missing)}` too."
    return "One of pass, concern and fail is always the result: let each column add up to 1."
