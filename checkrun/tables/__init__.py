"""Published figures, each with its source, section, year and status beside it in the file.

Status `verified`: read in the named source. `memory`: recalled, to be checked before it is relied
on. A limit of basis `mirror` was read in a state law that copies the federal section, which itself
was not read.
"""

from __future__ import annotations

import csv
import os
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from checkrun.units import Quantity, Unit, quantity

#: No Path: importing pathlib would take as long as reading a table.
_FOLDER = os.path.dirname(__file__)


class NoSuchTable(LookupError):
    """There is no such table or row; the text offers what there is."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A published limit.

    Attributes:
        value: The figure, exact.
        unit: Its unit.
        comparator: `<=` at most, `>=` at least, `=` a condition of the test and no limit.
        source: What was read.
        status: `verified` or `memory`.
        section: The section it is the limit of.
        year: The edition, or `not stated`.
        written: As published, such as `2/32 in`.
        basis: `read`, `mirror` or `memory`.
        says: What is limited.
    """

    value: Decimal
    unit: Unit
    comparator: str
    source: str
    status: str
    section: str = ""
    year: str = ""
    written: str = ""
    basis: str = ""
    says: str = ""

    @property
    def quantity(self) -> Quantity:
        """The figure as a quantity."""
        return Quantity(self.value, self.unit, typed=self.written)

    @property
    def said(self) -> str:
        """Section, source and status in one line, as printed with a judgement."""
        if self.basis == "mirror":
            return f"{self.section} (from memory), mirrored by {self.source} (verified)"
        if self.status != "verified":
            return f"{self.section} (from memory)"
        return f"{self.section} ({self.source}; verified)"


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table by its column names.

    Raises:
        NoSuchTable: If there is no such table.
    """
    path = os.path.join(_FOLDER, f"{name}.csv")
    if not name.replace("-", "").isalnum() or len(name) > 40 or not os.path.isfile(path):
        raise NoSuchTable(f"there is no table `{name[:40]}`; there are {', '.join(names())}")
    with open(path, encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def names() -> tuple[str, ...]:
    """The tables there are."""
    files = os.listdir(_FOLDER)
    return tuple(sorted(file.removesuffix(".csv") for file in files if file.endswith(".csv")))


def limit(name: str) -> Limit:
    """A published limit by `table/row`, such as `us-in-use/tread-depth`.

    Raises:
        NoSuchTable: If there is no such limit.
    """
    table, _, row = name.partition("/")
    limits = _limits(table)
    if row not in limits:
        from difflib import get_close_matches

        near = get_close_matches(row[:40], limits, 1, 0.4)
        hint = f"did you mean `{table}/{near[0]}`?" if near else f"there are {', '.join(limits)}"
        raise NoSuchTable(f"there is no limit `{row[:40]}` in the table {table}; {hint}")
    return limits[row]


@cache
def _limits(table: str) -> dict[str, Limit]:
    found = rows(table)
    if "limit" not in found[0]:
        raise NoSuchTable(f"the table {table} holds no limits; us-in-use does")
    return {row["row"]: _limit(row) for row in found}


def _limit(row: dict[str, str]) -> Limit:
    figure = quantity(row["limit"])
    return Limit(
        figure.value,
        figure.unit,
        row["comparator"],
        row["source"],
        row["status"],
        row["section"],
        row["year"],
        row["limit"],
        row["basis"],
        row["says"],
    )
