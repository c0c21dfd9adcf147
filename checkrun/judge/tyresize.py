"""Size designations of tyres: metric, inch and letter sizes, and what follows from them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from checkrun import tables
from checkrun.judge.characters import LOOK_ALIKE
from checkrun.judge.judgement import BadReading
from checkrun.judge.words import shown

MM_PER_INCH = Decimal("25.4")
#: The ratio of a metric size that prints none. Source: pack T15, verified.
NO_RATIO = Decimal(82)
NO_RATIO_SOURCE = "a size without a ratio is nominally 82 %: UK MOT manual 5.2.3 (verified)"
#: Height over width of inch sizes, percent: later and oldest. Source: pack T16, from memory.
INCH_RATIOS = (Decimal(82), Decimal(95))
INCH_SOURCE = "inch sizes print no ratio, nominally 82 to 95 %: trade practice (from memory)"

_RIM = r"(?P<rim>[0-9]{2,3}(?:\.[0-9])?)"
_METRIC = re.compile(
    r"(?:P|LT|T)?\s*(?P<width>[0-9]{3})(?:\s*/\s*(?P<ratio>[0-9]{2,3}))?"
    rf"\s*(?P<make>-|[SHVWYZ]?\s*R|[BD]|(?<=[0-9])\s)\s*{_RIM}\b\s*(?P<rest>.*)",
    re.ASCII,
)
_INCH = re.compile(
    rf"(?P<width>[0-9]{{1,2}}\.[0-9]{{1,2}})\s*(?P<make>-|[SHV]?\s*R|[SHV]|\s)\s*{_RIM}\b"
    r"\s*(?P<rest>.*)",
    re.ASCII,
)
_LETTER = re.compile(
    rf"(?P<letter>[A-N])(?P<radial>R?)\s*(?P<ratio>[5-9][0-9])\s*(?P<make>-|R|\s)\s*{_RIM}\b"
    r"\s*(?P<rest>.*)",
    re.ASCII,
)
_SERVICE = re.compile(r"\(?([0-9]{1,3})(?:/[0-9]{1,3})?\s*(A[1-8]|[B-HJ-NP-WY])\)?", re.ASCII)
_SPEED = re.compile(r"\(?(A[1-8]|[B-HJ-NP-WY])\)?", re.ASCII)
_MARKINGS = re.compile(
    r"XL|RF|REINF(?:ORCED)?|EXTRA\s*LOAD|TL|TT|TUBELESS|TUBE\s*TYPE|M\s?[+&.]?\s?S|WW|WSW|BSW"
    r"|[0-9]{1,2}\s*(?:PR|PLY)|RADIAL|CROSS-?PLY",
    re.ASCII,
)
_LOOK_ALIKES = re.compile(r"[OISB](?=[0-9/.])|(?<=[0-9/.])[OI]", re.ASCII)


@dataclass(frozen=True, slots=True)
class Size:
    """A tyre size taken apart.

    Attributes:
        width: Section width, mm; None if the designation does not give it.
        ratio: Height over width, percent; None if the designation does not give it.
        printed: Whether the ratio stands in the designation.
        rim: As written: inches, or mm from 100 on.
        construction: radial, cross-ply or belted.
        load_index: As written, or an empty text.
        speed: Speed symbol, or an empty text.
        open_ended: Whether the speed stands before the R alone, where V and Z mean `over`.
        letter: Load letter of a letter size, or an empty text.
    """

    width: Decimal | None
    ratio: Decimal | None
    printed: bool
    rim: Decimal
    construction: str
    load_index: str = ""
    speed: str = ""
    open_ended: bool = False
    letter: str = ""

    @property
    def same_as(self) -> tuple[object, ...]:
        """What must be alike for two tyres to be of one size and make-up."""
        # A size without a ratio is treated as one of 80 %: pack T15, verified.
        ratio = Decimal(80) if self.ratio == NO_RATIO and not self.printed else self.ratio
        return self.letter, self.width, ratio, self.rim, self.construction

    @property
    def diameter(self) -> tuple[Decimal, Decimal] | None:
        """Least and greatest nominal diameter when new, mm; alike if the ratio is known.

        Rim and twice the section height: 25.4 x rim + 2 x width x ratio / 100.
        """
        if self.width is None:
            return None
        rim = self.rim if self.rim >= 100 else self.rim * MM_PER_INCH
        ratios = INCH_RATIOS if self.ratio is None else (self.ratio, self.ratio)
        low, high = (rim + 2 * self.width * ratio / 100 for ratio in ratios)
        return low, high

    @property
    def load_kg(self) -> Decimal | None:
        """The load of its index, kg. Source: table load-index."""
        return next(
            (
                Decimal(row["kg"])
                for row in tables.rows("load-index")
                if self.load_index and int(row["load_index"]) == int(self.load_index)
            ),
            None,
        )

    @property
    def speed_kmh(self) -> Decimal | None:
        """The speed of its symbol, km/h; None where there is none, or only `over` a speed."""
        if self.open_ended and self.speed in ("V", "Z"):
            return None
        return next(
            (
                Decimal(row["kmh"])
                for row in tables.rows("speed-symbols")
                if row["symbol"] == self.speed and row["kmh"]
            ),
            None,
        )


def size_of(text: str, where: str) -> Size:
    """A size designation taken apart.

    Args:
        text: `165/80 R 15 87H`, `185/70 VR 15`, `165 R 15`, `5.90-15` or `E70-15` and the like.
        where: The field it stands in, for the message.

    Raises:
        BadReading: If it is none, or can't be.
    """
    plain = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", " ".join(text.upper().split()))
    if match := _METRIC.fullmatch(plain):
        size = _metric(match, where)
    elif match := _INCH.fullmatch(plain):
        size = _inch(match)
    elif match := _LETTER.fullmatch(plain):
        size = _letter(match)
    else:
        meant = _LOOK_ALIKES.sub(lambda found: LOOK_ALIKE[found[0]], plain)
        if any(form.fullmatch(meant) for form in (_METRIC, _INCH, _LETTER)):
            hint = f"is it `{meant}`?"
        else:
            hint = "write it as 165/80 R 15 87H or 5.90-15"
        raise BadReading(f"{where}: {shown(text)} is no tyre size; {hint}")
    _possible(size, text, where)
    return size


def _metric(match: re.Match[str], where: str) -> Size:
    ratio = match["ratio"]
    made, before = _make(match["make"])
    index, speed = _service(match["rest"], where)
    return Size(
        Decimal(match["width"]),
        Decimal(ratio) if ratio else NO_RATIO,
        bool(ratio),
        Decimal(match["rim"]),
        made,
        index,
        speed or before,
        not speed and bool(before),
    )


def _inch(match: re.Match[str]) -> Size:
    made, before = _make(match["make"])
    index, speed = _service(match["rest"], "value")
    return Size(
        Decimal(match["width"]) * MM_PER_INCH,
        None,
        False,
        Decimal(match["rim"]),
        made,
        index,
        speed or before,
        not speed and bool(before),
    )


def _letter(match: re.Match[str]) -> Size:
    radial = match["radial"] or match["make"] == "R"
    index, speed = _service(match["rest"], "value")
    return Size(
        None,
        Decimal(match["ratio"]),
        True,
        Decimal(match["rim"]),
        "radial" if radial else "cross-ply",
        index,
        speed,
        letter=match["letter"],
    )


def _make(written: str) -> tuple[str, str]:
    """The construction and the speed symbol in front of it."""
    letters = written.replace(" ", "").strip("-")
    if letters.endswith("R"):
        return "radial", letters[:-1]
    if letters == "B":
        return "belted", ""
    return "cross-ply", "" if letters == "D" else letters


def _service(rest: str, where: str) -> tuple[str, str]:
    """Load index and speed symbol from what follows the rim; known markings are passed over."""
    index = speed = ""
    left = _MARKINGS.sub(" ", rest)
    if match := _SERVICE.search(left):
        index, speed = match[1], match[2]
        left = left.replace(match[0], " ", 1)
    elif match := _SPEED.fullmatch(left.strip()):
        speed, left = match[1], ""
    if left.strip():
        raise BadReading(
            f"{where}: {shown(left)} after the rim is no load index with its speed letter, such as "
            "87H"
        )
    if index and all(int(row["load_index"]) != int(index) for row in tables.rows("load-index")):
        last = tables.rows("load-index")[-1]["load_index"]
        raise BadReading(f"{where}: load index {index} is not in the table, which ends at {last}")
    return index, speed


def _possible(size: Size, text: str, where: str) -> None:
    """Refuse what no tyre measures. The bounds are wide: they catch slips of the finger only."""
    bounds = (
        ("width", size.width, 60, 500, " mm"),
        ("ratio", size.ratio, 20, 110, " %"),
        ("rim", size.rim, 200, 600, " mm") if size.rim >= 100 else ("rim", size.rim, 8, 30, " in"),
    )
    for name, value, least, most, unit in bounds:
        if value is not None and not least <= value <= most:
            raise BadReading(
                f"{where}: {shown(text)}: a {name} of {value}{unit} is not possible "
                f"({least} to {most})"
            )
