"""What a person says of money, claims and rank: checked, and made into events of the session."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from checkrun.session.entries import Entry
from checkrun.session.errors import BadFigure, NoSuchCheck, WhyMissing, nearest
from checkrun.session.events import Kind
from checkrun.session.text import clean

if TYPE_CHECKING:
    from checkrun.route.model import Cost
    from checkrun.session.fold import Walk
    from checkrun.session.session import Session

#: Low, likely and high.
Range = tuple[Decimal, Decimal, Decimal]
#: The largest figure that is taken: beyond it is a slip of the hand.
_MOST = Decimal(10) ** 9
_NUMBER = re.compile(r"[0-9]{1,12}(?:[.,][0-9]{1,6})?", re.ASCII)
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:[.,' ][0-9]{3})+", re.ASCII)
#: What an hour of work costs until somebody says otherwise: a figure to reckon with, in the
#: currency of the parts.
RATE = Decimal(80)


@dataclass(frozen=True, slots=True)
class Terms:
    """What the sums of a session are reckoned with.

    Attributes:
        asking: The price asked, or None while it is not known.
        value: What it is worth if all is as it is said to be; None if that is the price asked.
        rate: What an hour of work costs.
        currency: The sign or code of the currency; may be empty.
        margin: What must be left over.
        percentile: Which percentile of the cost is taken off, 50 to 99.
        correlation: How far the costs go together, 0 to 1.
    """

    asking: Decimal | None = None
    value: Decimal | None = None
    rate: Decimal = RATE
    currency: str = ""
    margin: Decimal = Decimal(0)
    percentile: Decimal = Decimal(80)
    correlation: Decimal = Decimal("0.2")


@dataclass(frozen=True, slots=True)
class OwnCost:
    """A person's own figures for one check, in place of the route's where they are given."""

    hours: Range | None = None
    parts: Range | None = None
    chance: Decimal | None = None
    seller: bool = False


#: The fact of a route that asks for the price.
ASKING_FACT = "asking-price"
#: The terms and the figures of a cost by name, each with what it is.
TERMS = {
    "asking": "the price asked",
    "value": "what it is worth if all is as said; the price asked if left out",
    "rate": "what an hour of work costs",
    "currency": "the sign or code of the currency",
    "margin": "what must be left over",
    "percentile": "how many of 100 such cars must cost less than is taken off, 50 to 99",
    "correlation": "how far the costs go together, 0 to 1",
}
COSTS = {
    "hours": "hours of work: low, likely and high",
    "parts": "parts: low, likely and high",
    "chance": "chance that it has to be put right, 0 to 1",
    "seller": "yes if the seller puts it right",
}


def set_terms(session: Session, values: Mapping[str, str]) -> None:
    """Change terms; an empty value takes one back to what it is without being said.

    Raises:
        BadFigure: If one is not what it has to be; nothing is changed then.
    """
    entries: list[Entry] = []
    for name, value in values.items():
        written = _term(name, clean(value).strip())
        if written != session.walk.terms.get(name, ""):
            entries.append((Kind.TERM, {"name": name, "value": written}))
    session.enter(entries)


def set_cost(session: Session, check: str, values: Mapping[str, str]) -> None:
    """Give a check figures of one's own; an empty value takes one back to the route's.

    Raises:
        BadFigure: If one is not what it has to be; nothing is changed then.
        NoSuchCheck: If the route has no such check.
    """
    _known(session.walk, check)
    entries: list[Entry] = []
    for name, value in values.items():
        written = _figure(name, clean(value).strip())
        if written != session.walk.state(check).own.get(name, ""):
            entries.append((Kind.PRICED, {"check": check, "name": name, "value": written}))
    session.enter(entries)


def believe(session: Session, claim: str, value: str) -> None:
    """Say how likely a claim is before anything was looked at; empty for what the route says.

    Raises:
        BadFigure: If it is no share between 0 and 1, or there is no such claim.
    """
    claims = [found.id for found in session.walk.route.claims]
    if claim not in claims:
        near = nearest(claim, claims)
        hint = f"Did you mean {near}?" if near else f"There are: {', '.join(claims) or 'none'}."
        raise BadFigure(f"There is no claim {claim!r} in this route.", hint)
    value = clean(value).strip()
    written = _share(value, "before") if value else ""
    if written != session.walk.priors.get(claim, ""):
        session.enter([(Kind.BELIEVED, {"claim": claim, "value": written})])


def rank(session: Session, check: str, before: str, why: str) -> None:
    """Put a finding before another one, whatever the rules say.

    Args:
        session: Open for entries.
        check: The finding's check.
        before: The check it is to stand before; empty for the end; its own id for where the rules
            put it.
        why: The reason; needed unless it goes back to its place.

    Raises:
        WhyMissing: If there is no reason.
        NoSuchCheck: If the route lacks one of the checks.
    """
    for name in (check, before):
        if name:
            _known(session.walk, name)
    why = clean(why).strip()
    if before != check and not why:
        raise WhyMissing("Another place in the order")
    stays = before == check and session.walk.state(check).rank is None
    entry: Entry = (Kind.RANKED, {"check": check, "before": before, "why": why})
    session.enter([] if stays else [entry])


def check_term(name: str, value: str) -> str:
    """What is wrong with a term as typed; empty if nothing is."""
    return _wrong(lambda: _term(name, clean(value).strip()))


def check_figure(name: str, value: str) -> str:
    """What is wrong with a figure of a cost as typed; empty if nothing is."""
    return _wrong(lambda: _figure(name, clean(value).strip()))


def check_share(value: str) -> str:
    """What is wrong with a probability as typed; empty if nothing is, or nothing stands there."""
    return _wrong(lambda: _share(clean(value).strip(), "before")) if value.strip() else ""


def _wrong(read: Callable[[], str]) -> str:
    try:
        read()
    except BadFigure as problem:
        return str(problem)
    return ""


def terms_of(said: Mapping[str, str], facts: Mapping[str, str] | None = None) -> Terms:
    """The terms as numbers; what can't be read counts as not said.

    Args:
        said: By name and as typed.
        facts: What was said of the car at the intake; a price asked there counts until another is
            said.
    """
    known: dict[str, Any] = {}
    for name, value in {**_asked(facts or {}), **said}.items():
        if name == "currency":
            known[name] = value
        elif not check_term(name, value) and (number := _decimal(value)) is not None:
            known[name] = number
    return Terms(**known)


def _asked(facts: Mapping[str, str]) -> dict[str, str]:
    price = facts.get(ASKING_FACT, "").strip()
    return {} if check_term("asking", price) else {"asking": _term("asking", price)}


def own_of(said: Mapping[str, str]) -> OwnCost:
    """A person's own figures as numbers; what can't be read counts as not said."""
    found = {name: _range(said.get(name, "")) for name in ("hours", "parts")}
    chance = None
    if not check_figure("chance", said.get("chance", "")):
        chance = _decimal(said.get("chance", ""))
    return OwnCost(found["hours"], found["parts"], chance, said.get("seller") == "yes")


def figures(cost: Cost | None, own: OwnCost) -> tuple[Range, Range]:
    """Hours and parts to reckon with: one's own where they are given, else the route's."""
    nothing = (Decimal(0), Decimal(0), Decimal(0))
    hours = own.hours or (nothing if cost is None else cost.hours)
    return hours, own.parts or (nothing if cost is None else cost.parts)


def said_range(values: Range) -> str:
    """Three figures as they are typed."""
    return " ".join(f"{value.normalize():f}" for value in values)


def _known(walk: Walk, check: str) -> None:
    if check not in walk.index:
        raise NoSuchCheck(check, nearest(check, walk.sequence))


def _term(name: str, value: str) -> str:
    if name not in TERMS:
        raise BadFigure(f"There is no {name!r} to set.", f"There are: {', '.join(TERMS)}.")
    if not value:
        return ""
    if name == "currency":
        if len(value) > 8 or any(char.isdigit() for char in value):
            raise BadFigure("currency: a sign or a short code is expected.", "Such as EUR.")
        return value
    if name == "correlation":
        return _share(value, name, ends=True)
    if name == "percentile":
        number = _number(value.removesuffix("%").strip(), name)
        if not 50 <= number <= 99:
            raise BadFigure(f"percentile: {value} is not between 50 and 99.", "80 is usual.")
        return f"{number.normalize():f}"
    return f"{_number(value, name).normalize():f}"


def _figure(name: str, value: str) -> str:
    if name not in COSTS:
        raise BadFigure(f"A cost has no {name!r}.", f"It has: {', '.join(COSTS)}.")
    if not value:
        return ""
    if name == "seller":
        if value not in ("yes", "no"):
            raise BadFigure("seller: yes or no is expected.")
        return "yes" if value == "yes" else ""
    if name == "chance":
        return _share(value, name, ends=True)
    parts = [part for part in re.split(r"[\s/;]+", value) if part]
    if len(parts) not in (1, 3):
        raise BadFigure(f"{name}: low, likely and high are expected.", "Such as 2 4 9.")
    low, likely, high = (_number(part, name) for part in (parts * 3 if len(parts) == 1 else parts))
    if not low <= likely <= high:
        rising = said_range((*sorted((low, likely, high)),))  # type: ignore[arg-type]
        raise BadFigure(f"{name}: low, likely and high must rise.", f"Write {rising}.")
    return said_range((low, likely, high))


def _number(text: str, what: str) -> Decimal:
    """A figure from 0 on, whose comma is a decimal comma; thousands are asked about."""
    if _THOUSANDS.fullmatch(text):
        plain = re.sub(r"\D", "", text)
        hint = f"Write {plain[:40]}, without marks for thousands."
        raise BadFigure(f"{what}: {text[:40]} can be read in two ways.", hint)
    if not _NUMBER.fullmatch(text) or (number := Decimal(text.replace(",", "."))) > _MOST:
        raise BadFigure(f"{what}: {text[:40]!r} is no amount.", "Write it like 85 or 85.5.")
    return number


def _share(text: str, what: str, *, ends: bool = False) -> str:
    """A share as a fraction of one; `40 %` is 0.4. Both ends are allowed only where said."""
    percent = text.endswith("%")
    number = _number(text.removesuffix("%").strip(), what) / (100 if percent else 1)
    if not (0 <= number <= 1 if ends else 0 < number < 1):
        bounds = "from 0 to 1" if ends else "between 0 and 1, and neither of them"
        raise BadFigure(f"{what}: {text[:40]} is no share.", f"Write a number {bounds}.")
    return f"{number.normalize():f}"


def _decimal(text: str) -> Decimal | None:
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return number if number.is_finite() and 0 <= number <= _MOST else None


def _range(text: str) -> Range | None:
    numbers = [_decimal(part) for part in text.split()]
    if len(numbers) != 3:
        return None
    low, likely, high = numbers
    if low is None or likely is None or high is None or not low <= likely <= high:
        return None
    return low, likely, high
