"""What it costs and the most to pay, as rows of plain text.

Amounts are written with a blank between thousands, since a comma means different things to
different people.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from checkrun.report.glyphs import Glyphs
from checkrun.weigh.cost import Driver, Moments, Terms
from checkrun.weigh.offer import Offer, percent
from checkrun.weigh.simulate import Spread

_HEIGHT = 5
_NARROWEST = 40
#: How many items are listed; the others are summed up.
_DRIVERS = 12
_DRIVES = "What drives it"
#: What stands below the histogram at each of these percentiles.
_MARKS = (("5", "p50"), ("8", "p80"), ("9", "p90"))


def rows(
    cost: Moments,
    spread: Spread,
    terms: Terms,
    offer: Offer | None,
    glyphs: Glyphs,
    width: int = 72,
    warning: str = "",
) -> list[str]:
    """Everything, a blank row between the parts.

    Args:
        cost: The exact moments of the sum.
        spread: Its simulation.
        terms: What both were reckoned with.
        offer: The most to pay, if the value is known.
        glyphs: The characters that can be shown.
        width: Of a row, in cells, at least 40.
        warning: What must be said where there is no offer that says it.
    """
    width = max(_NARROWEST, width)
    parts = [
        cost_rows(cost, spread, terms, width),
        histogram_rows(spread, glyphs, width),
        driver_rows(cost.drivers, glyphs, width),
        offer_rows(offer, glyphs, width) if offer else warning_rows(warning, glyphs, width),
    ]
    found: list[str] = []
    for part in parts:
        if part:
            found += ["", *part] if found else part
    return found


def cost_rows(cost: Moments, spread: Spread, terms: Terms, width: int) -> list[str]:
    """The cost in a few figures."""
    figures = [("mean", cost.mean), ("half stay below", spread.p50)]
    figures += [("80 % stay below", spread.p80), ("90 % stay below", spread.p90)]
    if terms.percentile not in (50, 80, 90):
        figures.append((f"{terms.percentile:g} % stay below", spread.at))
    # Each amount is one word, so that it stays on one row.
    told = [
        *("standard", "deviation", f"{amount(cost.sd)};", "by", _grouped(terms.draws, 0), "draws,"),
        *("so", "the", f"{terms.percentile:g} %", "figure", "has", "a", "standard", "error", "of"),
        amount(spread.standard_error),
    ]
    if spread.correlation and spread.correlation < terms.correlation - 0.005:
        told[-1] += ";"
        told += (
            f"they reach a correlation of {spread.correlation:.2f} only, since the ranges "
            "differ in shape"
        ).split()
    return ["What it costs", *_columns(figures, width, cents=False), *_filled(told, width)]


def histogram_rows(spread: Spread, glyphs: Glyphs, width: int) -> list[str]:
    """How often which cost was drawn, with the median, 80 % and 90 % marked 5, 8 and 9."""
    if spread.high <= spread.low:
        return []
    bins = len(spread.histogram)
    cells = max(1, (width - 2) // bins)
    full = len(glyphs.levels) - 1
    most = max(spread.histogram)
    # Rounded up, so that even one draw is seen.
    heights = [-(-count * _HEIGHT * full // most) for count in spread.histogram]
    found = []
    for row in reversed(range(_HEIGHT)):
        line = (glyphs.levels[min(full, max(0, high - row * full))] * cells for high in heights)
        found.append(f"  {''.join(line)}".rstrip())
    marks = [" "] * (bins * cells)
    step = (spread.high - spread.low) / len(marks)
    # Of those that can't be told apart the highest is shown.
    for mark, name in _MARKS:
        at = min(len(marks) - 1, int((getattr(spread, name) - spread.low) / step))
        marks[at] = mark
    low, high = amount(spread.low), amount(spread.high)
    ends = f"{low}{high:>{max(0, len(marks) - len(low))}}"
    rule = glyphs.rule * len(marks)
    return [*found, f"  {rule}", f"  {''.join(marks)}".rstrip(), f"  {ends}"]


def driver_rows(drivers: Sequence[Driver], glyphs: Glyphs, width: int) -> list[str]:
    """What drives the cost: each item's mean and its share of the variance."""
    if not drivers:
        return []
    shown, rest = drivers[:_DRIVERS], drivers[_DRIVERS:]
    if len(rest) == 1:
        shown, rest = drivers, ()
    lines = [(driver.id, driver.mean, driver.share) for driver in shown]
    if rest:
        means, shares = (sum(d.mean for d in rest), sum(d.share for d in rest))
        lines.append((f"{len(rest)} more", means, shares))
    means_width = max(len("mean"), *(len(amount(mean)) for _, mean, _ in lines))
    bar = 12 if width >= 60 else 0
    names = max(len(_DRIVES) - 2, width - 2 - means_width - 10 - bar)
    names = min(names, max(len(_DRIVES) - 2, *(len(name) for name, _, _ in lines)))
    found = [f"{_DRIVES:{names + 2}}  {'mean':>{means_width}}   share"]
    for name, mean, share in lines:
        cells = round(max(0.0, min(1.0, share)) * (bar - 2)) if bar else 0
        line = f"  {_cut(name, names):{names}}  {amount(mean):>{means_width}}  {percent(share):>6}"
        found.append(f"{line}  {glyphs.bar[0] * cells}".rstrip())
    return found


def offer_rows(offer: Offer, glyphs: Glyphs, width: int) -> list[str]:
    """The most to pay, every line of it; a warning above it."""
    warning = warning_rows(offer.warning, glyphs, width)
    lines = _columns([*offer.lines, ("most to pay", offer.most_to_pay)], width, cents=True)
    rule = f"  {glyphs.rule * (max(map(len, lines)) - 2)}"
    return [*warning, "The most to pay", *lines[:-1], rule, lines[-1]]


def warning_rows(warning: str, glyphs: Glyphs, width: int) -> list[str]:
    """What must be said before any amount."""
    return _filled([glyphs.caution, *warning.split()], width) if warning else []


def amount(value: float, *, cents: bool = False) -> str:
    """An amount with a blank between thousands: `12 345`, or `12 345.60` with cents."""
    return _grouped(value, 2 if cents else 0)


def _grouped(value: float, places: int) -> str:
    text = f"{value:,.{places}f}".replace(",", " ")
    # A negative that rounds to nothing is nothing.
    return text if text.strip("-0.") else text.removeprefix("-")


def _columns(figures: Sequence[tuple[str, float]], width: int, *, cents: bool) -> list[str]:
    """Labels with their amounts in a column behind them."""
    amounts = [amount(value, cents=cents) for _, value in figures]
    column = max(map(len, amounts))
    labels = min(max(len(label) for label, _ in figures), max(8, width - column - 4))
    return [
        f"  {_cut(label, labels):{labels}}  {text:>{column}}"
        for (label, _), text in zip(figures, amounts, strict=True)
    ]


def _filled(words: Sequence[str], width: int) -> list[str]:
    """Pieces of text joined to rows."""
    return [f"  {line}" for line in _wrapped(words, width - 2)]


def _wrapped(words: Sequence[str], width: int) -> Iterator[str]:
    line = ""
    for word in words:
        if line and len(line) + 1 + len(word) > width:
            yield line
            line = word
        else:
            line = f"{line} {word}" if line else word
    if line:
        yield line


def _cut(text: str, width: int) -> str:
    """A text that fits, its end cut off if it must be."""
    return text if len(text) <= width else f"{text[: width - 2]}.."
