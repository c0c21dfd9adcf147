"""How sure one may be of each claim, as rows of words: for the screen and for plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row
from checkrun.weigh.evidence import Belief, Sign
from checkrun.weigh.nextbest import Next

#: Cells of a bar to each side of its middle, and decibans in one of them: a full side is 100 to 1.
_CELLS, _CELL = 8, 2.5
#: How many of the checks to look at next are told.
_TOLD = 10
_MOST_ODDS = 1e6


def claim_rows(belief: Belief, glyphs: Glyphs, says: str = "") -> Iterator[Row]:
    """One claim: how sure, by what evidence, how firmly, and every sign with its bar.

    Args:
        belief: What came out of the weighing.
        glyphs: The characters that can be shown.
        says: What the claim says, where a route has words for it.
    """
    sure = f"{percent(belief.after)}, before looking {percent(belief.before)}"
    yield Row(belief.claim, f"{says}: {sure}" if says else sure, "title")
    yield Row("odds", said_odds(belief.odds))
    yield Row("evidence", f"{belief.decibans:+.1f} decibans: {belief.verbal}", _role(belief))
    firm = f"{percent(belief.halved)} with every weight halved, {percent(belief.doubled)} doubled"
    yield Row("how firm", firm, "quiet")
    for sign in belief.signs:
        yield sign_row(sign, glyphs)
    if not belief.signs:
        yield Row("signs", "none seen yet", "quiet")


def sign_row(sign: Sign, glyphs: Glyphs) -> Row:
    """One sign: its bar, its weight in decibans, what was seen, and whether it counts."""
    text = f"{bar(sign.decibans, glyphs)} {sign.decibans:+6.1f}  {sign.result}"
    if not sign.counted:
        return Row(sign.check, f"{text}, already counted ({sign.cause})", "quiet")
    return Row(sign.check, text, _role(sign))


def bar(decibans: float, glyphs: Glyphs) -> str:
    """A weight as a bar from the middle: to the right for, to the left against.

    A cell is 2.5 decibans; what weighs something has one cell at least, and 20 decibans (100 to 1)
    or more fill the side.
    """
    cells = min(_CELLS, round(abs(decibans) / _CELL))
    if abs(decibans) >= 0.05:
        cells = max(1, cells)
    drawn, blank = glyphs.bar[0] * cells, " " * (_CELLS - cells)
    middle, none = glyphs.box.down, " " * _CELLS
    return f"{blank}{drawn}{middle}{none}" if decibans < 0 else f"{none}{middle}{drawn}{blank}"


def next_rows(best: Sequence[Next], told: int = _TOLD) -> Iterator[Row]:
    """The open checks that tell most per minute, the best first."""
    for row in best[:told]:
        yield Row(
            row.check,
            f"{row.bits_per_minute:.4f} bits a minute on {row.claim}: "
            f"{row.bits:.4f} bits in {row.minutes:g} min",
        )


def percent(probability: float) -> str:
    """A probability for a person: never 0 % or 100 %, since no sign is certain."""
    if probability > 0.999:
        return "over 99.9 %"
    if probability < 0.001:
        return "under 0.1 %"
    return f"{100 * probability:.1f} %"


def said_odds(odds: float) -> str:
    """Odds for a claim in words, such as `4.0 to 1 for`."""
    if odds > _MOST_ODDS or odds < 1 / _MOST_ODDS:
        return f"over {_MOST_ODDS:,.0f} to 1 {'for' if odds > 1 else 'against'}"
    times = max(odds, 1 / odds)
    if times < 1.05:
        return "even"
    figure = f"{times:,.0f}" if times >= 9.95 else f"{times:.1f}"
    return f"{figure} to 1 {'for' if odds > 1 else 'against'}"


def as_text(beliefs: Iterable[Belief], best: Sequence[Next], glyphs: Glyphs) -> str:
    """All claims, then what to look at next, as plain text."""
    blocks = [list(claim_rows(belief, glyphs)) for belief in beliefs]
    lines = [line for rows in blocks for line in ("", *_lines(rows))]
    if best:
        lines += ["", "What would tell most if looked at next"]
        lines += (f"  {line}" for line in _aligned(list(next_rows(best))))
        if len(best) > _TOLD:
            lines.append(f"  and {len(best) - _TOLD} more that tell less")
    return "\n".join(lines[1:]) or "no claims"


def _lines(rows: Sequence[Row]) -> list[str]:
    """A heading of its own, the rest below it."""
    return [f"{rows[0].label}: {rows[0].text}", *(f"  {line}" for line in _aligned(rows[1:]))]


def _aligned(rows: Sequence[Row]) -> list[str]:
    width = max(len(row.label) for row in rows)
    return [f"{row.label:{width}}  {row.text}".rstrip() for row in rows]


def _role(weighed: Belief | Sign) -> str:
    """The colour of what speaks for or against; the words say it as well."""
    if abs(weighed.decibans) < 0.05:
        return "quiet"
    return "pass" if weighed.decibans > 0 else "fail"
