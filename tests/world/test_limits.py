"""Vertical limits as the authority codes them (check_values 11a, standing B)."""

import pytest

from planner.units import FOOT_M
from planner.world.airspace import SURFACE, UNLIMITED, LimitReference, VerticalLimit
from planner.world.readers.limits import UNKNOWN, coded_limit, in_order, written_floor, written_top
from planner.world.readers.row import Row


def msl(feet):
    return VerticalLimit(LimitReference.SEA_LEVEL, pytest.approx(feet * FOOT_M))


def agl(feet):
    return VerticalLimit(LimitReference.ABOVE_GROUND, pytest.approx(feet * FOOT_M))


@pytest.mark.parametrize("value", [0, "0", 0.0, None, -9998, "-9998", -9999.0])
def test_surface_floor_is_a_code(value):
    row = Row({"LOWER_VAL": value, "LOWER_UOM": "FT", "LOWER_CODE": "SFC"})
    assert coded_limit(row, "LOWER") == SURFACE


@pytest.mark.parametrize(
    ("value", "unit", "code", "limit"),
    [
        (1300, "FT", "MSL", msl(1300)),
        ("1300", "FT", "MSL", msl(1300)),
        (700.0, "FT", "AGL", agl(700)),
        (180, "FL", "STD", msl(18_000)),
        (500, "M", "MSL", VerticalLimit(LimitReference.SEA_LEVEL, 500.0)),
        (4000, None, "MSL", msl(4000)),
        (-9998, "FT", "MSL", UNKNOWN),
        (1300, "FT", None, UNKNOWN),
        (1300, "FURLONG", "MSL", UNKNOWN),
        ("SOMEWHERE", "FT", "MSL", UNKNOWN),
        (float("nan"), "FT", "MSL", UNKNOWN),
        (9_999_999, "FT", "MSL", UNKNOWN),
        ("UNLTD", None, None, UNLIMITED),
    ],
)
def test_coded_tops(value, unit, code, limit):
    row = Row({"UPPER_VAL": value, "UPPER_UOM": unit, "UPPER_CODE": code})
    assert coded_limit(row, "UPPER") == limit


@pytest.mark.parametrize("which", ["LOWER", "UPPER"])
@pytest.mark.parametrize(
    ("value", "unit", "code", "limit"),
    [
        (180, "FL", "FL", msl(18_000)),
        (180, "", "FL", msl(18_000)),
        (180, "FL", "", msl(18_000)),
        (180, None, "STD", msl(18_000)),
        (18_000, "FT", "STD", msl(18_000)),
        (5_500, "M", "STD", VerticalLimit(LimitReference.SEA_LEVEL, 5_500.0)),
        (180, "FT", "FL", UNKNOWN),
        (180, "FT", "STD", UNKNOWN),
        (180, "M", "STD", UNKNOWN),
        (180, "FL", "AGL", UNKNOWN),
        (180, "FL", "SFC", UNKNOWN),
        (180, "FL", "MSL", UNKNOWN),
        (180, "FURLONG", "STD", UNKNOWN),
        (18_000, "FURLONG", "STD", UNKNOWN),
    ],
)
def test_a_level_beside_another_unit_is_the_widest_unless_it_can_only_be_feet(
    which, value, unit, code, limit
):
    """Flight levels are hundreds of feet (ICAO Annex 2, definitions): a reader of the one as the other is
    off by a factor of a hundred, as the floor of an airspace on the unsafe side."""
    row = Row({f"{which}_VAL": value, f"{which}_UOM": unit, f"{which}_CODE": code})
    assert coded_limit(row, which) == limit


def test_missing_columns_are_the_widest_limits():
    assert coded_limit(Row({}), "LOWER") == UNKNOWN
    assert coded_limit(Row({}), "UPPER") == UNKNOWN


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("SFC", SURFACE),
        ("Surface", SURFACE),
        ("0", SURFACE),
        ("400 AGL", agl(400)),
        ("400 ft AGL", agl(400)),
        ("1,300 MSL", msl(1300)),
        ("FL180", msl(18_000)),
        ("400", UNKNOWN),
        ("", UNKNOWN),
        ("as published", UNKNOWN),
    ],
)
def test_written_floors(text, limit):
    assert written_floor(text) == limit


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("400 AGL", agl(400)),
        ("400' AGL", agl(400)),
        ("UNLTD", UNLIMITED),
        ("unlimited", UNLIMITED),
        ("400", UNKNOWN),
        ("SFC", UNKNOWN),
    ],
)
def test_written_tops(text, limit):
    assert written_top(text) == limit


def test_contradicting_limits_become_the_widest():
    low, high = VerticalLimit(LimitReference.SEA_LEVEL, 100.0), VerticalLimit(LimitReference.SEA_LEVEL, 200.0)
    assert in_order(low, high) == (low, high)
    assert in_order(high, low) == (UNKNOWN, UNKNOWN)
    assert in_order(SURFACE, SURFACE) == (UNKNOWN, UNKNOWN)


def test_a_floor_coded_as_the_surface_with_a_figure_of_its_own_is_the_widest():
    row = Row({"LOWER_VAL": 18_000, "LOWER_UOM": "FT", "LOWER_CODE": "SFC"})
    assert coded_limit(row, "LOWER") == UNKNOWN


def feet(reference, figure):
    return VerticalLimit(reference, figure * FOOT_M)


@pytest.mark.parametrize(
    ("floor", "top"),
    [
        (SURFACE, feet(LimitReference.SEA_LEVEL, 0)),
        (SURFACE, feet(LimitReference.SEA_LEVEL, -1)),
        (feet(LimitReference.ABOVE_GROUND, 18_000), feet(LimitReference.SEA_LEVEL, 2_000)),
        (feet(LimitReference.SEA_LEVEL, 1_500), feet(LimitReference.SEA_LEVEL, 1_500)),
        (feet(LimitReference.ABOVE_GROUND, 400), feet(LimitReference.ABOVE_GROUND, 400)),
        (feet(LimitReference.SEA_LEVEL, 0), feet(LimitReference.SEA_LEVEL, 0)),
        (feet(LimitReference.SEA_LEVEL, 5_000), feet(LimitReference.ABOVE_GROUND, 400)),
        (UNKNOWN, feet(LimitReference.SEA_LEVEL, 0)),
    ],
)
def test_limits_that_leave_nothing_between_them_are_the_widest(floor, top):
    assert in_order(floor, top) == (UNKNOWN, UNKNOWN)
