"""The units themselves: symbol, kind of quantity, exact size in SI, other spellings.

Sources: the definitions of the pound (0.453 592 37 kg), the inch (25.4 mm), the gallons and the
standard acceleration (9.806 65 m/s2) as in the reference pack, units.md (verified); conventional
mercury of 13 595.1 kg/m3 (pack: inHg = 3386.388 64 Pa, verified, rounded there).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of measurement.

    Attributes:
        symbol: As it is written.
        dimension: What it measures, in words; only units of one dimension convert.
        factor: SI units in one of it.
        offset: SI value of its zero.
    """

    symbol: str
    dimension: str
    factor: Fraction = Fraction(1)
    offset: Fraction = Fraction(0)

    def __str__(self) -> str:
        return self.symbol


INCH = Fraction(254, 10000)
POUND = Fraction(45359237, 10**8)
GRAVITY = Fraction(980665, 10**5)
POUND_FORCE = POUND * GRAVITY
MERCURY = Fraction(135951, 10) * GRAVITY
#: 40 digits; no typed number has more.
PI = Fraction("3.141592653589793238462643383279502884197")
_DEGREE = PI / 180
_MILE = INCH * 63360
_LITRE = Fraction(1, 1000)
_US_GALLON = 231 * INCH**3
_MILLI = Fraction(1, 1000)

_ROWS: tuple[tuple[str, str, Fraction, str], ...] = (
    ("m", "length", Fraction(1), "metre metres meter meters"),
    ("um", "length", Fraction(1, 10**6), "µm μm micron microns"),
    ("mm", "length", _MILLI, "millimetre millimetres millimeter millimeters"),
    ("cm", "length", Fraction(1, 100), "centimetre centimetres"),
    ("km", "length", Fraction(1000), "kilometre kilometres"),
    ("in", "length", INCH, 'inch inches "'),
    ("ft", "length", INCH * 12, "foot feet '"),
    ("mile", "length", _MILE, "mi miles"),
    ("thou", "length", INCH / 1000, "mil mils"),
    ("rad", "angle", Fraction(1), "radian radians"),
    ("deg", "angle", _DEGREE, "° degree degrees"),
    ("arcmin", "angle", _DEGREE / 60, ""),
    ("arcsec", "angle", _DEGREE / 3600, ""),
    ("Pa", "pressure", Fraction(1), "pascal"),
    ("kPa", "pressure", Fraction(1000), ""),
    ("MPa", "pressure", Fraction(10**6), ""),
    ("bar", "pressure", Fraction(10**5), "bars"),
    ("mbar", "pressure", Fraction(100), ""),
    ("psi", "pressure", POUND_FORCE / INCH**2, "lbf/in2 lb/in2 lbs/in2"),
    ("inHg", "pressure", INCH * MERCURY, ""),
    ("mmHg", "pressure", _MILLI * MERCURY, ""),
    ("N m", "torque", Fraction(1), ""),
    ("lbf.ft", "torque", POUND_FORCE * INCH * 12, "ft.lbf lb.ft lbs.ft ft.lb ft.lbs"),
    ("lbf.in", "torque", POUND_FORCE * INCH, "in.lbf lb.in lbs.in in.lb in.lbs"),
    ("kgf.m", "torque", GRAVITY, "m.kgf kg.m m.kg"),
    ("N", "force", Fraction(1), "newton newtons"),
    ("kN", "force", Fraction(1000), ""),
    ("lbf", "force", POUND_FORCE, ""),
    ("kgf", "force", GRAVITY, ""),
    ("V", "voltage", Fraction(1), "volt volts"),
    ("mV", "voltage", _MILLI, "millivolt millivolts"),
    ("A", "current", Fraction(1), "amp amps ampere amperes"),
    ("mA", "current", _MILLI, ""),
    ("ohm", "resistance", Fraction(1), "ohms Ω"),
    ("kohm", "resistance", Fraction(1000), "kohms kΩ"),
    ("K", "temperature", Fraction(1), "kelvin"),
    ("degC", "temperature", Fraction(1), "C celsius"),
    ("degF", "temperature", Fraction(5, 9), "F fahrenheit"),
    ("s", "time", Fraction(1), "sec secs second seconds"),
    ("min", "time", Fraction(60), "mins minute minutes"),
    ("h", "time", Fraction(3600), "hr hrs hour hours"),
    ("kg", "mass", Fraction(1), "kilogram kilograms"),
    ("g", "mass", _MILLI, "gram grams"),
    ("lb", "mass", POUND, "lbs pound pounds"),
    ("oz", "mass", POUND / 16, "ounce ounces"),
    ("m3", "volume", Fraction(1), ""),
    ("L", "volume", _LITRE, "litre litres liter liters"),
    ("mL", "volume", _LITRE / 1000, "cc cm3 millilitre millilitres"),
    ("US gal", "volume", _US_GALLON, ""),
    ("US qt", "volume", _US_GALLON / 4, ""),
    ("imp gal", "volume", Fraction(454609, 10**8), ""),
    ("m/s", "speed", Fraction(1), ""),
    ("km/h", "speed", Fraction(1000, 3600), "kph kmh"),
    ("mph", "speed", _MILE / 3600, ""),
    ("rpm", "turns per time", Fraction(1, 60), "rev/min 1/min"),
    ("%", "share", Fraction(1, 100), "percent pct"),
    ("", "number", Fraction(1), ""),
)
_OFFSETS: Mapping[str, Fraction] = {
    "degC": Fraction("273.15"),
    "degF": Fraction("459.67") * Fraction(5, 9),
}
#: Spellings of several words, which the rows above cannot hold.
_SPELLED = {
    "gal us": "US gal",
    "us gallon": "US gal",
    "us gallons": "US gal",
    "us quart": "US qt",
    "us quarts": "US qt",
    "imperial gallon": "imp gal",
    "imperial gallons": "imp gal",
    "uk gal": "imp gal",
    "newton metre": "N m",
    "newton metres": "N m",
    "pound feet": "lbf.ft",
    "foot pounds": "lbf.ft",
    "inch pounds": "lbf.in",
    "inches of mercury": "inHg",
}
#: Things that are counted: a word for a number, taken as it stands.
COUNTED: Mapping[str, str] = {
    "swings": "swing",
    "clicks": "click",
    "shims": "shim",
    "turns": "turn",
    "cycles": "cycle",
    "notches": "notch",
    "teeth": "tooth",
    "leaves": "leaf",
    "drops": "drop",
    "strokes": "stroke",
    "places": "place",
    "pieces": "piece",
    "bolts": "bolt",
    "spokes": "spoke",
    "coils": "coil",
    "holes": "hole",
    "cracks": "crack",
    "pumps": "pump",
}
#: What a short spelling means where a quantity of a dimension is expected.
IN_PLACE: Mapping[tuple[str, str], str] = {
    ("angle", "min"): "arcmin",
    ("angle", "'"): "arcmin",
    ("angle", "sec"): "arcsec",
    ("angle", '"'): "arcsec",
    ("force", "lb"): "lbf",
    ("force", "lbs"): "lbf",
    ("force", "kg"): "kgf",
    ("temperature", "deg"): "",
    ("temperature", "°"): "",
}
#: Spellings that are two units; asked about, never guessed.
UNCLEAR: Mapping[str, str] = {
    "gal": "US gal or imp gal",
    "gallon": "US gal or imp gal",
    "gallons": "US gal or imp gal",
    "qt": "US qt (the imperial quart is 1.137 L)",
    "pt": "L or mL",
}
#: A larger unit and the smaller one that may follow it in one value, as in 5 ft 3 in.
FOLLOWED: Mapping[str, str] = {
    "ft": "in",
    "deg": "arcmin",
    "arcmin": "arcsec",
    "lb": "oz",
    "h": "min",
    "min": "s",
}
#: The unit preferred in metric and in US workshops, per unit of the other system.
TO_US: Mapping[str, str] = {
    "um": "thou",
    "mm": "in",
    "cm": "in",
    "m": "ft",
    "km": "mile",
    "kPa": "psi",
    "Pa": "psi",
    "MPa": "psi",
    "bar": "psi",
    "mbar": "inHg",
    "mmHg": "inHg",
    "N m": "lbf.ft",
    "kgf.m": "lbf.ft",
    "N": "lbf",
    "kN": "lbf",
    "kgf": "lbf",
    "degC": "degF",
    "K": "degF",
    "kg": "lb",
    "g": "oz",
    "L": "US gal",
    "mL": "US qt",
    "imp gal": "US gal",
    "km/h": "mph",
    "m/s": "mph",
}
TO_METRIC: Mapping[str, str] = {
    "thou": "um",
    "in": "mm",
    "ft": "m",
    "mile": "km",
    "psi": "bar",
    "inHg": "mbar",
    "lbf.ft": "N m",
    "lbf.in": "N m",
    "lbf": "N",
    "degF": "degC",
    "lb": "kg",
    "oz": "g",
    "US gal": "L",
    "imp gal": "L",
    "US qt": "L",
    "mph": "km/h",
}

UNITS: Mapping[str, Unit] = {
    symbol: Unit(symbol, dimension, factor, _OFFSETS.get(symbol, Fraction(0)))
    for symbol, dimension, factor, _ in _ROWS
}


def folded(name: str) -> str:
    """A spelling without what people write differently: case, blanks, points, hyphens."""
    name = name.strip().replace("''", '"').replace("²", "2").replace("³", "3")
    for mark in (" ", ".", "·", "⋅", "-", "_", "*"):
        name = name.replace(mark, "")
    return name.casefold().replace("°c", "degc").replace("°f", "degf").replace("μ", "u")


def _spellings() -> dict[str, Unit]:
    known = {folded(words): UNITS[symbol] for words, symbol in _SPELLED.items()}
    for symbol, _, _, others in _ROWS:
        unit = UNITS[symbol]
        known.update(dict.fromkeys(map(folded, (*others.split(" "), symbol)), unit))
    for word, single in COUNTED.items():
        known[word] = known[single] = Unit(word, f"number of {word}")
    return known


SPELLINGS: Mapping[str, Unit] = _spellings()
