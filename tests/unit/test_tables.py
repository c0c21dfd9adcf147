"""The published tables: what is in them, and that every row says where it is from."""

from __future__ import annotations

from decimal import Decimal

import pytest

from checkrun import tables


@pytest.mark.parametrize("name", tables.names())
def test_every_row_says_its_source_and_status(name: str) -> None:
    found = tables.rows(name)
    assert found
    for row in found:
        assert row["source"], row
        assert row["status"] in ("verified", "memory"), row


@pytest.mark.parametrize("row", [row["row"] for row in tables.rows("us-in-use")])
def test_every_limit_says_its_section_and_year(row: str) -> None:
    limit = tables.limit(f"us-in-use/{row}")
    assert limit.section.startswith("49 CFR 570.")
    assert limit.year in ("2024", "not stated")
    assert ("verified" in limit.said) == (limit.status == "verified")
    assert limit.comparator in ("<=", ">=", "=")


@pytest.mark.parametrize(
    ("row", "comparator", "si", "unit"),
    [
        # 49 CFR 570 Subpart A: reference pack, in-use-limits.csv, column si_value.
        ("pedal-force", "=", "556.03", "N"),  # 570.5(b); mirror RCW 46.37.360(2), verified
        ("pedal-hold", "=", "10", "s"),  # the same
        ("lining-riveted", ">=", "0.794", "mm"),  # 570.5(g); mirror RCW 46.37.360(5), verified
        ("lining-bonded", ">=", "0.794", "mm"),  # the same
        ("lash-16", "<=", "50.8", "mm"),  # 570.7(a) Table 1, verified
        ("lash-18", "<=", "57.15", "mm"),  # verified
        ("lash-20", "<=", "63.5", "mm"),  # verified
        ("lash-22", "<=", "69.85", "mm"),  # verified
        ("linkage-play", "<=", "6.35", "mm"),  # 570.7(b), verified
        ("tread-depth", ">=", "1.5875", "mm"),  # 570.9(a); mirror RCW 46.37.425(4), verified
        ("bead-runout", "<=", "3.175", "mm"),  # 570.10(b), verified
        ("stop-distance", "<=", "7.62", "m"),  # 570.5(d), from memory
        ("stop-speed", "=", "32.187", "km/h"),  # 570.5(d), from memory
    ],
)
def test_limits_of_49_cfr_570(row: str, comparator: str, si: str, unit: str) -> None:
    limit = tables.limit(f"us-in-use/{row}")
    wanted = Decimal(si)
    exponent = wanted.as_tuple().exponent
    assert isinstance(exponent, int)
    assert limit.comparator == comparator
    assert limit.quantity.to(unit).quantize(Decimal(1).scaleb(exponent)) == wanted


def test_pedal_travel_is_a_share() -> None:
    limit = tables.limit("us-in-use/pedal-travel")
    assert (limit.value, limit.unit.symbol, limit.comparator) == (80, "%", "<=")


def test_sheet_gauges_follow_the_weight_scale() -> None:
    """41.82 lb per square foot and inch: reference pack G1 and G2, units.md (verified)."""
    for row in tables.rows("sheet-gauge"):
        inch = Decimal(row["oz_per_ft2"]) / 16 / Decimal("41.82")
        assert abs(inch - Decimal(row["inch"])) < Decimal("0.0001"), row
        assert abs(Decimal(row["inch"]) * Decimal("25.4") - Decimal(row["mm"])) < Decimal("0.0006")


def test_16_gauge_is_1_519_mm() -> None:
    """check-values.csv of the reference pack, units row (verified)."""
    row = next(row for row in tables.rows("sheet-gauge") if row["gauge"] == "16")
    assert Decimal(row["mm"]) == Decimal("1.519")


def test_load_indexes_of_the_reference_pack() -> None:
    """check-values.csv: 91 is 615 kg and 62 is 265 kg, not 165 (verified)."""
    load = {row["load_index"]: row["kg"] for row in tables.rows("load-index")}
    assert (load["91"], load["62"]) == ("615", "265")
    assert len(load) == 131
    kilograms = [Decimal(kg) for kg in load.values()]
    assert kilograms == sorted(kilograms)


def test_speed_symbols_rise_but_for_h_after_u() -> None:
    speeds = {row["symbol"]: row["kmh"] for row in tables.rows("speed-symbols")}
    assert (speeds["U"], speeds["H"], speeds["V"]) == ("200", "210", "240")


def test_model_year_codes_come_round_after_thirty_years() -> None:
    """49 CFR 565.15 Table VII (verified): no I, O, Q, U, Z and no 0."""
    rows = tables.rows("vin-model-year")
    assert len(rows) == 30
    assert not {row["code"] for row in rows} & set("IOQUZ0")
    assert all(int(row["cycle2_year"]) - int(row["cycle1_year"]) == 30 for row in rows)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        (
            "us-in-use/tread",
            "there is no limit `tread` in the table us-in-use; "
            "did you mean `us-in-use/tread-depth`?",
        ),
        (
            "us/tread-depth",
            "there is no table `us`; there are battery, load-index, sheet-gauge, speed-symbols, "
            "us-in-use, vin-model-year",
        ),
        ("load-index/91", "the table load-index holds no limits; us-in-use does"),
    ],
)
def test_a_wrong_name_is_told_what_there_is(name: str, message: str) -> None:
    with pytest.raises(tables.NoSuchTable) as problem:
        tables.limit(name)
    assert str(problem.value) == message


def test_no_name_reaches_out_of_the_folder() -> None:
    with pytest.raises(tables.NoSuchTable):
        tables.rows("../tables/battery")
