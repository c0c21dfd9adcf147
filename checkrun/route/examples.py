"""An example of every key, as an author writes it, for the format guide and the schema.

The tests read each by the reader of its key and hold it against the schema. The car is invented.
"""

from __future__ import annotations

from textwrap import indent

_OUTLINE = "{length: 4.1, width: 1.68, wheelbase: 2.45, front-overhang: 0.72}"
_FACT = "{id: serial, ask: Chassis serial on the plate, mark: chassis-serial}"
_FIELDS = '[{text: PL}, {name: year, digits: 1}, {text: "-"}, {name: serial, digits: 5}]'
_COST = "{hours: [6, 14, 40], parts: [0, 300, 2500], chance: 0.6}"
_SIGN = """\
claim: front-first-body
pass: [0.85, 0.35]
concern: [0.12, 0.30]
fail: [0.03, 0.35]
"""
_CLAIM = """\
id: front-first-body
says: The front is the one it left the works with
before: 0.6
matters: 0.25
"""
_CHECK = """\
id: boot-seal
ask: Seal round the boot lid
how: Press it with a thumb all the way round.
pass: Soft, no gap.
concern: Hard, but still shut.
fail: Torn or missing.
class: minor
group: trim
source: common practice
"""


def _item(text: str) -> str:
    """A mapping as a member of a list."""
    return f"- {indent(text, '  ')[2:]}"


def _under(key: str, text: str) -> str:
    """A mapping or list as the value of a key."""
    return f"{key}:\n{indent(text, '  ')}"


_STATION = "id: tail\ntitle: Tail, standing\nplace: tail\n" + _under("checks", _item(_CHECK))
_MARK = f"title: Chassis serial\nfields: {_FIELDS}\nsource: common practice\n"
_MARKS = _under("chassis-serial", _MARK)
_EACH = "{corner: [left-front, right-front]}"
_PLACES = "{tail: {x: 3.38, y: 0.0, z: 0.6}}"
_CAR = f"years: 1963-1968\noutline: {_OUTLINE}\nfacts:\n  - {_FACT}\n"

#: By table and key: a value as it is written; one of several lines begins on the next line.
EXAMPLES: dict[str, dict[str, str]] = {
    "route": {
        "format": "1",
        "id": "plover-1966",
        "title": "Brackwell Plover 1966, closed rails",
        "about": "The car most people mean when they say Plover.",
        "built-on": "plover",
        "order": "by-position",
        "car": _CAR,
        "safety": "[Chock the wheels before anybody leans on the car.]",
        "marks": _MARKS,
        "places": _PLACES,
        "stations": _item(_STATION),
        "claims": _item(_CLAIM),
        "drop": "[frame-horns, coolant]",
    },
    "car": {"years": "1963-1968", "outline": _OUTLINE, "facts": f"[{_FACT}]"},
    "outline": {"length": "4.1", "width": "1.68", "wheelbase": "2.45", "front-overhang": "0.72"},
    "fact": {
        "id": "serial",
        "ask": "Chassis serial on the plate",
        "kind": "text",
        "choices": "[standard, touring]",
        "mark": "chassis-serial",
        "required": "yes",
        "example": "PL6-02417",
    },
    "mark": {
        "title": "Chassis serial",
        "where": "Plate on the left of the scuttle, two rosette rivets",
        "fields": _FIELDS,
        "agrees-with": "{year: car.year.last 1, serial: serial.last 5}",
        "restamped": "0.03",
        "source": "common practice",
    },
    "field": {
        "name": "month",
        "text": "PL",
        "digits": "5",
        "letters": "1",
        "means": "month of assembly, no I",
        "values": "{A: January, B: February, C: March}",
        "range": "1-31",
    },
    "place": {"x": "3.38", "y": "0.0", "z": "0.6"},
    "station": {
        "id": "tail",
        "title": "Tail, standing",
        "place": "tail",
        "needs": "{car: raised, engine: cold}",
        "caution": "Never go under a car that stands on a jack alone.",
        "after": "nose",
        "only": "{years: 1966-1968}",
        "for-each": _EACH,
        "checks": _item(_CHECK),
    },
    "needs": {
        "car": "raised",
        "wheels": "off",
        "bonnet": "open",
        "boot": "shut",
        "engine": "running",
    },
    "check": {
        "id": "boot-seal",
        "ask": "Seal round the boot lid",
        "how": "Press it with a thumb all the way round.",
        "pass": "Soft, no gap.",
        "concern": "Hard, but still shut.",
        "fail": "Torn or missing.",
        "why": "Water in the boot comes through here first.",
        "caution": "Hold the lid with the other hand; the stay is weak.",
        "reading": "{kind: measure, unit: mm, pass: {at-most: 2}, fail: {above: 5}, tool: feelers}",
        "tools": "[feeler stack, lamp]",
        "class": "minor",
        "group": "trim",
        "minutes": "1.5",
        "cost": _COST,
        "signs": _item(_SIGN),
        "source": "common practice",
        "only": '{facts: {touring-tank: "yes"}}',
        "after": "boot-floor",
        "for-each": _EACH,
    },
    "cost": {
        "hours": "[6, 14, 40]",
        "parts": "[0, 300, 2500]",
        "chance": "0.6",
        "base-rate": "0.2",
        "together": "front-off",
    },
    "sign": {
        "claim": "front-first-body",
        "cause": "new-front",
        "pass": "[0.85, 0.35]",
        "concern": "[0.12, 0.30]",
        "fail": "[0.03, 0.35]",
        "only": "{years: 1966}",
    },
    "claim": {
        "id": "front-first-body",
        "says": "The front is the one it left the works with",
        "before": "0.6",
        "matters": "0.25",
        "only": '{facts: {replacement-frame: "no"}}',
        "short": "first front",
    },
    "only": {"years": "1966-1968", "facts": '{touring-tank: "yes"}'},
    "include": {
        "include": "pieces/brakes",
        "for-each": _EACH,
    },
    "piece": {
        "format": "1",
        "piece": "brakes",
        "about": "What every car with drum brakes is looked at for.",
        "checks": _item(_CHECK),
        "stations": _item(_STATION),
        "marks": _MARKS,
        "places": _PLACES,
        "claims": _item(_CLAIM),
    },
}

#: The smallest files that hold all they must: a route, and a layer over it.
ROUTE = """\
format: 1
id: plover
title: Brackwell Plover, 1963-1968
car:
  years: 1963-1968
  outline: {length: 4.1, width: 1.68, wheelbase: 2.45, front-overhang: 0.72}
places:
  tail: {x: 3.38, y: 0.0, z: 0.6}
stations:
  - id: tail
    title: Tail, standing
    place: tail
    checks:
      - id: boot-seal
        ask: Seal round the boot lid
        how: Press it with a thumb all the way round.
        pass: Soft, no gap.
        concern: Hard, but still shut.
        fail: Torn or missing.
        class: minor
        group: trim
        source: common practice
"""
LAYER = """\
format: 1
id: plover-1966
title: Brackwell Plover 1966
built-on: plover
car:
  years: 1966
stations:
  - id: tail
    checks:
      - id: boot-seal
        how: Press it with a thumb all the way round, under the lip too.
"""
