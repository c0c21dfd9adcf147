"""The characters that stand beside every state, with a plain ASCII set for poor terminals."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """Characters for the car's outline."""

    across: str
    down: str
    top_left: str
    top_right: str
    bottom_left: str
    bottom_right: str
    faint: str


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One set of characters.

    Attributes:
        result: By result, with `open` and `aside`.
        station: By how a station stands on the plan.
        bar: Full and empty cell of a progress bar.
        levels: A cell of a histogram, from empty to full.
        arrows: What the arrow keys are called in hints and help.
    """

    result: Mapping[str, str]
    station: Mapping[str, str]
    wheel: str
    box: Box
    bar: tuple[str, str]
    levels: tuple[str, ...]
    caution: str
    more: tuple[str, str]
    rule: str
    arrows: Mapping[str, str]


UNICODE = Glyphs(
    result={
        "pass": "✓",
        "concern": "!",
        "fail": "✗",
        "not-examined": "?",
        "open": "·",
        "aside": "…",
    },
    station={"you": "◉", "next": "▸", "fail": "✗", "concern": "!", "open": "○", "done": "✓"},
    wheel="█",
    box=Box("─", "│", "╭", "╮", "╰", "╯", "╌"),
    bar=("━", "─"),
    levels=(" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"),
    caution="▲",
    more=("▲", "▼"),
    rule="─",
    arrows={"right": "→", "left": "←", "up": "↑", "down": "↓"},
)

ASCII = Glyphs(
    result={
        "pass": "+",
        "concern": "!",
        "fail": "x",
        "not-examined": "?",
        "open": ".",
        "aside": "~",
    },
    station={"you": "@", "next": ">", "fail": "x", "concern": "!", "open": "o", "done": "+"},
    wheel="#",
    box=Box("-", "|", "/", "\\", "\\", "/", "."),
    bar=("#", "-"),
    levels=(" ", ".", ":", "#"),
    caution="!!",
    more=("^", "v"),
    rule="-",
    arrows={"right": "Right", "left": "Left", "up": "Up", "down": "Down"},
)


def glyphs_for(encoding: str | None, env: Mapping[str, str] = os.environ) -> Glyphs:
    """The set a terminal can show: ASCII unless its encoding is a Unicode one.

    `CHECKRUN_ASCII=1` asks for ASCII in any case.
    """
    if env.get("CHECKRUN_ASCII", "") not in ("", "0") or env.get("TERM", "") in ("dumb", "linux"):
        return ASCII
    return UNICODE if "utf" in (encoding or "").lower() else ASCII
