"""The three themes, and the colour of every role that text on screen can have.

The hues are those that M. Okabe and K. Ito proposed as distinguishable for all kinds of colour
vision ("Color Universal Design", 2002, revised 2008): orange #E69F00, sky blue #56B4E9, bluish
green #009E73, yellow #F0E442, blue #0072B2, vermillion #D55E00, reddish purple #CC79A7. The values
are from memory. Where a hue is too dark or too light for its background it is shifted in lightness
only. Every state also has a word and a glyph, so nothing hangs on colour.
"""

from __future__ import annotations

from functools import lru_cache

from rich.style import Style
from textual.theme import Theme

DARK = Theme(
    name="dark",
    primary="#56B4E9",
    secondary="#CC79A7",
    warning="#E69F00",
    error="#F0743A",
    success="#2BC49A",
    accent="#F0E442",
    foreground="#E8E6E3",
    background="#14171A",
    surface="#1B1F23",
    panel="#262C32",
    dark=True,
    variables={"quiet": "#9AA3AB", "marked": "#1F4A66", "input-cursor-background": "#F0E442"},
)
LIGHT = Theme(
    name="light",
    primary="#005F95",
    secondary="#8A3D69",
    warning="#8A5A00",
    error="#A84300",
    success="#006B4E",
    accent="#0072B2",
    foreground="#1A1A1A",
    background="#FAF8F4",
    surface="#F1EEE7",
    panel="#E2DDD2",
    dark=False,
    variables={"quiet": "#55595E", "marked": "#BFDCEF"},
)
CONTRAST = Theme(
    name="contrast",
    primary="#7CCBFF",
    secondary="#FFB0DA",
    warning="#FFC233",
    error="#FF8A4D",
    success="#4DF0C0",
    accent="#FFF34D",
    foreground="#FFFFFF",
    background="#000000",
    surface="#000000",
    panel="#1F1F1F",
    dark=True,
    variables={"quiet": "#DDDDDD", "marked": "#00407A", "input-cursor-background": "#FFF34D"},
)
#: The classes a screen has by its width in cells: usable, comfortable, better.
BREAKPOINTS: list[tuple[int, str]] = [(0, "-narrow"), (84, "-normal"), (140, "-wide")]


def width_class(width: int) -> str:
    """The class of a screen that wide.

    Textual gives a screen its class after the first frame; a screen that takes it while composing
    is laid out once instead of twice, and nothing jumps.
    """
    return next(name for least, name in reversed(BREAKPOINTS) if width >= least)


THEMES = {theme.name: theme for theme in (DARK, LIGHT, CONTRAST)}


@lru_cache(maxsize=8)
def role_styles(name: str, plain: bool) -> dict[str, Style]:
    """The style of every role in one theme; a role that is not there is plain text.

    Args:
        name: The theme.
        plain: Whether no colour will be sent: what stands out by its background is then reversed.
    """
    theme = THEMES[name]
    quiet = theme.variables["quiet"]

    def style(colour: str | None, *, bold: bool = False, back: str | None = None) -> Style:
        reverse = True if plain and back is not None else None
        return Style(color=colour, bold=bold or None, bgcolor=back, reverse=reverse)

    return {
        "label": style(quiet),
        "quiet": style(quiet),
        "ask": style(theme.foreground, bold=True),
        "title": style(theme.primary, bold=True),
        "caution": style(theme.warning, bold=True),
        "pass": style(theme.success),
        "concern": style(theme.warning),
        "fail": style(theme.error, bold=True),
        "not-examined": style(theme.secondary),
        "open": style(quiet),
        "aside": style(theme.accent),
        "entered": style(theme.foreground, bold=True),
        "key": style(theme.accent, bold=True),
        "error-text": style(theme.error),
        "message": style(theme.accent),
        "error": style(theme.background, bold=True, back=theme.error),
        "done-bar": style(theme.success),
        "marked": style(theme.foreground, bold=True, back=theme.variables["marked"]),
        "here": style(theme.background, bold=True, back=theme.primary),
        "plan": style(quiet),
        "plan-car": style(quiet),
        "plan-letter": style(theme.foreground, bold=True),
        "at-you": style(theme.background, bold=True, back=theme.accent),
        "at-next": style(theme.primary, bold=True),
        "at-fail": style(theme.error, bold=True),
        "at-concern": style(theme.warning, bold=True),
        "at-open": style(theme.foreground),
        "at-done": style(theme.success),
        "yaml-comment": style(quiet),
        "yaml-key": style(theme.primary),
        "yaml-sign": style(theme.accent),
        "yaml-block": style(theme.accent),
        "yaml-name": style(theme.secondary),
        "yaml-number": style(theme.success),
        "yaml-text": style(theme.foreground),
    }
