"""How what was typed is shown again: short, on one line, nothing a terminal would act on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

#: The most characters of a text that are shown again.
SHOWN = 40
_DOZEN = 12


def tidy(text: str) -> str:
    """A text on one line, without what a terminal would act on or not show."""
    if text.isprintable():
        return text.strip()
    return "".join(char if char.isprintable() else " " for char in text).strip()


def shown(value: Any, *, quote: bool = True) -> str:
    """Anything that was given, as it is named in a message: cut, on one line, in backticks."""
    if isinstance(value, bool):
        word = "yes" if value else "no"
        return f"`{word}`" if quote else word
    if isinstance(value, int) and abs(value) >= 10**SHOWN:
        return f"a number of more than {SHOWN} digits"
    if isinstance(value, str | int | float):
        text = value if isinstance(value, str) else str(value)
        short = f"{tidy(text[:SHOWN])}..." if len(text) > SHOWN else tidy(text)
        return f"`{short}`" if quote else short
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "`key: value` pairs"
    return "a list" if isinstance(value, list | tuple) else f"a {type(value).__name__}"


def nearest(word: Any, known: Iterable[str]) -> str:
    """`did you mean ...?` with the known word nearest in spelling, or the known words."""
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(shown(word, quote=False), names, n=1, cutoff=0.6) if names else []
    if near:
        return f"did you mean `{near[0]}`?"
    more = ", ..." if len(names) > _DOZEN else ""
    return f"known are {', '.join(names[:_DOZEN])}{more}" if names else "there are none"


def listed(words: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`; after a dozen how many more there are."""
    items = list(words)
    if len(items) > _DOZEN:
        items = [*items[:_DOZEN], f"{len(items) - _DOZEN} more"]
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def counted(count: int) -> str:
    """A small count as a word."""
    words = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return words[count] if 0 <= count < len(words) else str(count)


def either(words: Iterable[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    items = list(words)
    return " or ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)
