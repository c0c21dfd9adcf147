"""What an entry was, in a few words: for undo and redo, which can reach far back."""

from __future__ import annotations

from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.valuing import COSTS, TERMS

_OF_A_CHECK = {
    Kind.ANSWERED: "the result",
    Kind.MEASURED: "the reading",
    Kind.NOTED: "the note",
    Kind.SET_ASIDE: "setting aside",
    Kind.RANKED: "the place in the order",
}


def entry_words(walk: Walk, group: int | None) -> str:
    """The last event of one action in words, such as `the result at Toe of the front wheels`."""
    events = [event for event in walk.events if event.group == group]
    return _words(walk, events[-1]) if events else ""


def _words(walk: Walk, event: Event) -> str:
    data = event.data
    if event.kind is Kind.TERM:
        return TERMS.get(str(data["name"]), "a figure")
    if event.kind is Kind.BELIEVED:
        return f"how likely {data['claim']} is before looking"
    check = walk.route.checks.get(data.get("check", ""))
    ask = data.get("check", "") if check is None else check.ask
    if event.kind is Kind.PRICED:
        what = "who pays" if data["name"] == "seller" else COSTS.get(data["name"], "")
        return f"{what.partition(':')[0]} at {ask}"
    return f"{_OF_A_CHECK.get(event.kind, 'an entry')} at {ask}"
