"""The events of a session: what was done, when, and how one is written down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Any

from checkrun.route.model import Result
from checkrun.session.moments import moment, stamp


class Kind(Enum):
    """What sort of thing happened."""

    BEGAN = "began"
    ANSWERED = "answered"
    MEASURED = "measured"
    NOTED = "noted"
    SET_ASIDE = "set-aside"
    PRICED = "priced"
    RANKED = "ranked"
    TERM = "term"
    BELIEVED = "believed"
    STATE_CONFIRMED = "state-confirmed"
    MOVED = "moved"
    UNDONE = "undone"
    REDONE = "redone"
    ROUTE_TAKEN = "route-taken"
    SIGNED = "signed-off"
    REOPENED = "reopened"
    RECOVERED = "recovered"


#: The kinds that one undo can take back. A confirmed state is not among them: the car was raised.
UNDOABLE = frozenset(
    {
        Kind.ANSWERED,
        Kind.MEASURED,
        Kind.NOTED,
        Kind.SET_ASIDE,
        Kind.PRICED,
        Kind.RANKED,
        Kind.TERM,
        Kind.BELIEVED,
    }
)

#: What the data of each kind must hold, and of which type; anything more is allowed.
_SHAPES: dict[Kind, dict[str, type]] = {
    Kind.BEGAN: {"route": str, "route_sha": str, "year": int, "facts": dict, "program": str},
    Kind.ANSWERED: {"check": str, "result": str},
    Kind.MEASURED: {"check": str, "text": str, "unit": str},
    Kind.NOTED: {"check": str, "text": str},
    Kind.SET_ASIDE: {"check": str},
    Kind.PRICED: {"check": str, "name": str, "value": str},
    Kind.RANKED: {"check": str, "before": str, "why": str},
    Kind.TERM: {"name": str, "value": str},
    Kind.BELIEVED: {"claim": str, "value": str},
    Kind.STATE_CONFIRMED: {"part": str, "value": str},
    Kind.MOVED: {"check": str},
    Kind.UNDONE: {"group": int},
    Kind.REDONE: {"group": int},
    Kind.ROUTE_TAKEN: {"route_sha": str},
    Kind.SIGNED: {"name": str},
    Kind.REOPENED: {"why": str},
    Kind.RECOVERED: {"from": str, "missing": list, "note": str},
}
_RESULTS = frozenset(result.value for result in Result)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened in a session. Never edited, only added to.

    Attributes:
        n: 1 for the first event of the session, then one more each time.
        at: When, aware, in UTC.
        kind: What sort of thing.
        data: What exactly; the keys depend on the kind.
        group: The `n` of the first event of the same action, so that one undo takes back all of it.
        hash: SHA-256 over the hash before it and this event (see `checkrun.session.chain`).
    """

    n: int
    at: datetime
    kind: Kind
    data: dict[str, Any]
    group: int
    hash: str = ""

    def to_doc(self) -> dict[str, Any]:
        """The event as it stands in the file."""
        return {
            "n": self.n,
            "at": stamp(self.at),
            "kind": self.kind.value,
            "group": self.group,
            "data": self.data,
            "hash": self.hash,
        }


def from_doc(doc: Mapping[str, Any]) -> Event:
    """The event a document of the file stands for.

    Raises:
        ValueError: If the document has not the shape of an event; the text says what is amiss.
    """
    n, group = _whole(doc, "n"), _whole(doc, "group")
    for key in ("at", "kind", "hash"):
        if not isinstance(doc.get(key), str):
            raise ValueError(f"{key!r} is missing or not a text")
    data = doc.get("data")
    if not isinstance(data, dict):
        raise ValueError("'data' is missing or not a mapping")
    try:
        kind = Kind(doc["kind"])
    except ValueError:
        raise ValueError(f"unknown kind {doc['kind']!r}") from None
    _check_data(kind, data)
    try:
        at = moment(doc["at"])
    except (ValueError, OverflowError):
        raise ValueError(f"{doc['at']!r} is not a moment") from None
    return Event(n, at, kind, dict(data), group, doc["hash"])


def _whole(doc: Mapping[str, Any], key: str) -> int:
    """A positive whole number of the document; True and 1.0 are none."""
    value = doc.get(key)
    if type(value) is not int or value < 1:
        raise ValueError(f"{key!r} is missing or not a whole number from 1")
    return value


def _check_data(kind: Kind, data: dict[str, Any]) -> None:
    """Refuse data that a fold could not work on."""
    for key, wanted in _SHAPES[kind].items():
        if type(data.get(key)) is not wanted:
            raise ValueError(f"{kind.value}: {key!r} is missing or not {_NAMES[wanted]}")
    if kind is Kind.ANSWERED and data["result"] not in _RESULTS:
        raise ValueError(f"{kind.value}: unknown result {data['result']!r}")
    if not isinstance(data.get("judged", {}), dict):
        raise ValueError(f"{kind.value}: 'judged' is not a mapping")
    if not isinstance(data.get("why", ""), str):
        raise ValueError(f"{kind.value}: 'why' is not a text")
    facts = data.get("facts", {})
    if not isinstance(facts, dict) or not all(isinstance(value, str) for value in facts.values()):
        raise ValueError(f"{kind.value}: 'facts' are not all texts")


_NAMES: dict[type, str] = {
    str: "a text",
    int: "a whole number",
    dict: "a mapping",
    list: "a list",
}
