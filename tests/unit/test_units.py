"""Quantities as they are typed, and every conversion against pint (a test-only library)."""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations

import pint
import pytest

from checkrun.unit_table import UNITS
from checkrun.units import (
    NotAQuantity,
    Quantity,
    convert,
    free_unit,
    preferred,
    quantity,
    unit,
)

#: The same units under pint's names; pint keeps its own definitions of all of them.
PINT = {
    "um": "micrometer",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "ft": "foot",
    "mile": "mile",
    "thou": "thou",
    "rad": "radian",
    "deg": "degree",
    "arcmin": "arcminute",
    "arcsec": "arcsecond",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "bar": "bar",
    "mbar": "millibar",
    "psi": "psi",
    "inHg": "inch_Hg",
    "mmHg": "millimeter_Hg",
    "N m": "newton * meter",
    "lbf.ft": "force_pound * foot",
    "lbf.in": "force_pound * inch",
    "kgf.m": "force_kilogram * meter",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "force_pound",
    "kgf": "force_kilogram",
    "V": "volt",
    "mV": "millivolt",
    "A": "ampere",
    "mA": "milliampere",
    "ohm": "ohm",
    "kohm": "kiloohm",
    "K": "kelvin",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "kg": "kilogram",
    "g": "gram",
    "lb": "pound",
    "oz": "ounce",
    "m3": "meter ** 3",
    "L": "liter",
    "mL": "milliliter",
    "US gal": "gallon",
    "US qt": "quart",
    "imp gal": "imperial_gallon",
    "m/s": "meter / second",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "rpm": "1 / minute",
    "%": "percent",
    "": "dimensionless",
}
#: A share and a plain number are kept apart here and not by pint.
APART = ({"%", ""},)
PAIRS = [
    (a, b)
    for a, b in permutations(UNITS, 2)
    if UNITS[a].dimension == UNITS[b].dimension and {a, b} not in APART
]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def test_every_unit_has_its_counterpart_in_pint() -> None:
    assert set(PINT) == set(UNITS)


def test_every_pair_of_units_converts_as_in_pint(registry: pint.UnitRegistry) -> None:
    assert len(PAIRS) > 200
    for a, b in PAIRS:
        theirs = registry.Quantity(37.5, PINT[a]).to(PINT[b]).magnitude
        ours = convert(Decimal("37.5"), a, b)
        assert float(ours) == pytest.approx(theirs, rel=1e-9, abs=1e-12), (a, b)


def test_si_is_what_pint_calls_base_units(registry: pint.UnitRegistry) -> None:
    for symbol in UNITS:
        if symbol in ("rpm",):
            continue  # pint gives radians a second where turns are counted here
        theirs = registry.Quantity(2.5, PINT[symbol]).to_base_units().magnitude
        mass = UNITS[symbol].dimension
        assert float(Quantity(Decimal("2.5"), UNITS[symbol]).si) == pytest.approx(theirs), mass


@pytest.mark.parametrize(
    ("value", "source", "target", "expected"),
    [
        # Check values of the reference pack, units.md (computed there) and check-values.csv.
        ("100", "lbf.ft", "N m", "135.581795"),
        ("32", "psi", "kPa", "220.632233"),
        ("32", "psi", "bar", "2.20632"),
        ("20", "inHg", "kPa", "67.728"),
        ("60", "mile", "km", "96.5606"),
        ("1", "N m", "lbf.ft", "0.737562"),
        ("212", "degF", "degC", "100"),
        ("-40", "degF", "degC", "-40"),
    ],
)
def test_check_values_of_the_reference_pack(
    value: str, source: str, target: str, expected: str
) -> None:
    wanted = Decimal(expected)
    exponent = wanted.as_tuple().exponent
    assert isinstance(exponent, int)
    assert convert(Decimal(value), source, target).quantize(Decimal(1).scaleb(exponent)) == wanted


@pytest.mark.parametrize(
    ("text", "mm", "thou"),
    [
        # Fractions of an inch, all exact: reference pack, units.md (computed there).
        ("1/64 in", "0.396875", "15.625"),
        ("1/32 in", "0.79375", "31.25"),
        ("2/32 in", "1.5875", "62.5"),
        ("4/32 in", "3.175", "125"),
        ("3/16 in", "4.7625", "187.5"),
        ("1/4 in", "6.35", "250"),
        ("3/8 in", "9.525", "375"),
        ("1/2 in", "12.7", "500"),
    ],
)
def test_fractions_of_an_inch_are_exact(text: str, mm: str, thou: str) -> None:
    assert quantity(text).to("mm") == Decimal(mm)
    assert quantity(text).to("thou") == Decimal(thou)


@pytest.mark.parametrize(
    ("text", "default", "value", "symbol", "resolution"),
    [
        ("3/32 in", "", "0.09375", "in", "0.03125"),
        ('0.094"', "", "0.094", "in", "0.001"),
        ("2,4 mm", "", "2.4", "mm", "0.1"),
        ("2.40 mm", "", "2.40", "mm", "0.01"),
        ("40 thou", "", "40", "thou", "1"),
        ("65 lbf.ft", "", "65", "lbf.ft", "1"),
        ("65 ft-lb", "", "65", "lbf.ft", "1"),
        ("88Nm", "", "88", "N m", "1"),
        ("28 inHg", "", "28", "inHg", "1"),
        ("28 in Hg", "", "28", "inHg", "1"),
        ('1 1/2"', "", "1.5", "in", "0.5"),
        ("1-1/2 in", "", "1.5", "in", "0.5"),
        ("1½ in", "", "1.5", "in", "0.5"),
        ("-0.5 deg", "", "-0.5", "deg", "0.1"),
        ("−0.5°", "deg", "-0.5", "deg", "0.1"),
        ("1° 30'", "deg", "90", "arcmin", "1"),
        ("-1 deg 30 min", "deg", "-90", "arcmin", "1"),
        ("30 min", "deg", "30", "arcmin", "1"),
        ("30 min", "s", "30", "min", "1"),
        ("5 ft 3 1/2 in", "", "63.5", "in", "0.5"),
        ("5' 3\"", "mm", "63", "in", "1"),
        ("125 lbs", "lbf", "125", "lbf", "1"),
        ("125 lbs", "kg", "125", "lb", "1"),
        ("68 F", "", "68", "degF", "1"),
        ("20 °C", "", "20", "degC", "1"),
        ("52%", "%", "52", "%", "1"),
        ("250 µm", "um", "250", "um", "1"),
        ("2 swings", "swings", "2", "swings", "1"),
        ("1 swing", "swings", "1", "swings", "1"),
        ("7 knocks", "knocks", "7", "knocks", "1"),
        ("3 US gal", "L", "3", "US gal", "1"),
        ("4.", "mm", "4", "mm", "1"),
        (".5", "mm", "0.5", "mm", "0.1"),
        ("+3", "mm", "3", "mm", "1"),
        ("1,234", "mm", "1.234", "mm", "0.001"),
        ("12", "", "12", "", "1"),
        ("1.5e3 Pa", "", "1500", "Pa", "100"),
    ],
)
def test_quantities_are_read_as_they_are_written(
    text: str, default: str, value: str, symbol: str, resolution: str
) -> None:
    found = quantity(text, default)
    assert (found.value, found.unit.symbol) == (Decimal(value), symbol)
    assert found.resolution == Decimal(resolution)


@pytest.mark.parametrize(
    ("text", "default", "message", "position"),
    [
        ("", "mm", "nothing is written; write it as 2.4 mm or 3/32 in", 1),
        ("about 3", "mm", "`about 3` is not a quantity; write it as 2.4 mm or 3/32 in", 1),
        (
            "3 psi",
            "mm",
            "`3 psi` is a pressure, and a length is wanted here; write it as 2.4 mm or 3/32 in",
            1,
        ),
        ("3 mmm", "mm", "`mmm` is not a known unit; did you mean mm?", 3),
        ("3 vlots", "V", "`vlots` is not a known unit; did you mean V?", 3),
        ("3 gal", "L", "`gal` is more than one unit; write US gal or imp gal", 3),
        (
            "1,234.5 mm",
            "mm",
            "`1,234.5` can be read in two ways; "
            "write it without marks for thousands, such as 1234.5",
            1,
        ),
        (
            "1.234,5",
            "mm",
            "`1.234,5` can be read in two ways; "
            "write it without marks for thousands, such as 1234.5",
            1,
        ),
        ("4 5", "mm", "`4 5` is more than one quantity; write one only", 1),
        ("4 mm 5 mm", "mm", "`4 mm 5 mm` is more than one quantity; write one only", 1),
        ("1 5/4 in", "mm", "`1 5/4` is no mixed fraction; write 5/4 alone", 1),
        ("1/0 in", "mm", "`1/0` divides by nothing", 1),
        ("1e999", "mm", "`1e999` is no measure of a car", 1),
        ("2 clicks", "swings", "`2 clicks` is a number of clicks, and a number of swings is "
         "wanted here; write it as 12 swings", 1),
        (
            "-inf mm",
            "mm",
            "`-inf mm` is not a finite number; write a number and its unit, such as 2.4 mm or "
            "3/32 in",
            1,
        ),
        (
            "٣ mm",
            "mm",
            "`٣ mm` is not a quantity; write it as 2.4 mm or 3/32 in",
            1,
        ),
        (
            "9" * 70,
            "mm",
            "70 characters are no quantity; write a number and its unit, such as 2.4 mm or "
            "3/32 in",
            1,
        ),
    ],
)  # fmt: skip
def test_what_is_no_quantity_is_told_with_its_place(
    text: str, default: str, message: str, position: int
) -> None:
    with pytest.raises(NotAQuantity) as problem:
        quantity(text, default)
    assert str(problem.value) == message
    assert problem.value.position == position


def test_a_unit_of_the_spec_that_looks_like_a_slip_is_refused() -> None:
    assert free_unit("knocks").dimension == "number of knocks"
    with pytest.raises(NotAQuantity, match="did you mean mm"):
        free_unit("mmm")


def test_units_compare_by_what_they_are() -> None:
    assert unit("Inches") is unit("in") is unit('"')
    assert unit("LBF FT") == unit("lbf.ft") == unit("ft·lbf")


@pytest.mark.parametrize(
    ("name", "us", "metric"),
    [
        ("mm", "in", "mm"),
        ("um", "thou", "um"),
        ("psi", "psi", "bar"),
        ("lbf.ft", "lbf.ft", "N m"),
        ("degC", "degF", "degC"),
        ("V", "V", "V"),
        ("swings", "swings", "swings"),
    ],
)
def test_the_setting_prefers_a_unit_of_the_same_dimension(name: str, us: str, metric: str) -> None:
    assert preferred(name, "us").symbol == us
    assert preferred(name, "metric").symbol == metric
    assert preferred(name, "us").dimension == unit(name).dimension
