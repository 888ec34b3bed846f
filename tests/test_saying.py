"""Quantities in preferred units: rounding never flatters in any of them, and a message is the same in all.

Factors: 1 ft = 0.3048 m, 1 statute mile = 1609.344 m (international yard and pound agreement of 1959);
1 NM = 1852 m (International Hydrographic Organization 1929); a knot is one NM an hour.
"""

import json
import math
import pickle
from fractions import Fraction

import attrs
import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from planner import wording
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.words import along, over_ft, room_ft
from planner.saying import (
    AS_IT_COMES,
    Kind,
    Quantity,
    Timed,
    Told,
    Units,
    limit,
    marked,
    nearest,
    planned,
    said,
    say,
    told,
    way,
    with_metres,
)

UNIT_M = {
    "ft": Fraction(3048, 10_000),
    "m": Fraction(1),
    "km": Fraction(1000),
    "mi": Fraction(1609344, 1000),
    "NM": Fraction(1852),
}
METRES = st.floats(-2_000.0, 30_000.0)
UNITS = st.builds(
    Units,
    height=st.sampled_from(("ft", "m")),
    speed=st.sampled_from(("kt", "mph", "m/s")),
    way=st.sampled_from(("km", "mi", "NM")),
    utc=st.booleans(),
)
NEAR_M = Fraction(1, 1_000_000)
SINGLE_M = Fraction(31, 100_000)
"""The 0.3 mm that single precision may take from a height or two."""
"""So much of a unit counts as none: sums of floats."""


def test_weights_sizes_and_energies_go_with_the_heights():
    """1 lb = 0.45359237 kg, 1 in = 25.4 mm exactly; 1 ft lbf = 1.3558179483314004 J (NIST SP 811)."""
    metric = Units(height="m")
    assert say(Kind.MASS, 0.45359237) == "1.00 lb"
    assert say(Kind.MASS, 0.45359237, metric) == "0.45 kg (1.00 lb)"
    assert say(Kind.SIZE, 0.254) == "10.0 in"
    assert say(Kind.SIZE, 0.254, metric) == "25.4 cm"
    assert say(Kind.ENERGY, 25 * 1.3558179483314004) == "25 ft lbf"
    assert say(Kind.ENERGY, 25 * 1.3558179483314004, metric) == "34 J (25 ft lbf)"
    message = told(f"it hits with {Quantity(Kind.ENERGY, 100.0)}")
    assert (message, said(message, metric)) == ("it hits with 74 ft lbf", "it hits with 100 J (74 ft lbf)")


@pytest.mark.parametrize("unit", ["mi", "NM"])
def test_a_stretch_is_told_in_one_unit(unit):
    units = Units(way=unit)
    assert wording.stretch(0.0, 1.2 * float(UNIT_M[unit]), units) == f"0.00 {unit} to 1.20 {unit}"
    assert wording.stretch(3.048, 30.48, units) == "10 ft to 100 ft"


def metres_of(words):
    figure, unit = words.split(" ")[:2]
    return Fraction(figure.replace(",", "")) * UNIT_M[unit]


@given(METRES, UNITS)
def test_a_limit_is_never_said_higher_than_it_is(metres, units):
    unit_m = UNIT_M[units.height]
    said_m = metres_of(limit(metres, units))
    assert Fraction(metres) - unit_m < said_m <= Fraction(metres) + SINGLE_M


# IEEE 754: half a spacing of single precision is 0.12 mm below 4,096 m and 0.24 mm below 8,192 m, so that two
# of them are off by 0.24 and by 0.49 mm together at the most (numpy is from outside).
_BOTH_EXACT_M = 4_096.0


@given(st.integers(1, 26_000), st.sampled_from(["ft", "m"]))
@example(13_857, "ft")
def test_a_whole_height_stays_so_though_it_was_kept_in_single_precision(figure, unit):
    unit_m = float(UNIT_M[unit])
    kept_m = float(np.float32(figure * unit_m))
    for words in (limit, planned):
        assert words(kept_m, Units(height=unit)) == f"{figure:,} {unit}"
    lower_m = float(np.float32((figure - 1) * unit_m))
    least, most = (words(kept_m - lower_m, Units(height=unit)) for words in (limit, planned))
    if kept_m <= _BOTH_EXACT_M:
        assert least == most == f"1 {unit}"
    else:
        # More than two such heights are allowed for: then it is said on the safe side, by one at the most.
        assert least in (f"0 {unit}", f"1 {unit}")
        assert most in (f"1 {unit}", f"2 {unit}")


@pytest.mark.parametrize(
    ("metres", "words"), [(2e-6, "1 ft"), (1e-4, "1 ft"), (0.0, "0 ft"), (-1e-4, "0 ft")]
)
def test_what_is_anything_at_all_is_not_told_as_nothing(metres, words):
    assert planned(metres) == words


@given(METRES, UNITS)
def test_what_is_planned_is_never_said_lower_than_it_is(metres, units):
    unit_m = UNIT_M[units.height]
    said_m = metres_of(planned(metres, units))
    assert Fraction(metres) - SINGLE_M <= said_m < Fraction(metres) + unit_m


@given(METRES, UNITS)
def test_what_is_neither_is_said_to_the_nearest(metres, units):
    assert abs(metres_of(nearest(metres, units)) - Fraction(metres)) <= UNIT_M[units.height] / 2 * (
        1 + NEAR_M
    )


@given(st.floats(0.0, 400_000.0), UNITS)
def test_a_way_is_said_to_a_hundredth_of_its_unit_or_to_the_foot_or_metre(metres, units):
    words = way(metres, units)
    unit = words.split(" ")[1]
    off_m = abs(metres_of(words) - Fraction(metres))
    assert off_m <= UNIT_M[unit] / (200 if unit in ("km", "mi", "NM") else 2) * (1 + NEAR_M)
    assert unit in {"km": ("m", "km"), "mi": ("mi", units.height), "NM": ("NM", units.height)}[units.way]


@given(st.floats(0.0, 3_000.0), UNITS)
def test_far_things_have_the_metres_beside_and_flatter_in_neither(metres, units):
    down, up = say(Kind.FAR_DOWN, metres, units), say(Kind.FAR_UP, metres, units)
    for words, is_fine in ((down, lambda m: m <= metres + 1e-5), (up, lambda m: m >= metres - 1e-5)):
        parts = words.replace("(", "").replace(")", "").split(" ")
        assert parts[-1] == "m"
        for figure, unit in zip(parts[::2], parts[1::2], strict=True):
            assert is_fine(float(metres_of(f"{figure} {unit}")))
    assert ("ft" in down) is (units.height == "ft")


@given(st.floats(0.0, 30_000.0), UNITS)
def test_how_far_something_is_comes_in_the_unit_of_ways_and_flatters_in_neither(metres, units):
    """By definition a foot is 0.3048 m, a statute mile 5,280 ft, a nautical mile 1,852 m."""
    down, up = say(Kind.WAY_DOWN, metres, units), say(Kind.WAY_UP, metres, units)
    assert float(metres_of(down)) <= metres + 2e-3
    assert float(metres_of(up)) >= metres - 2e-3
    near = {"km": "m", "mi": units.height, "NM": units.height}[units.way]
    assert {down.split(" ")[1], up.split(" ")[1]} <= {near, units.way}


@pytest.mark.parametrize("value", [None, math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_known(value):
    assert {say(kind, value, Units(height="m")) for kind in Kind} == {"not known"}


@given(METRES, METRES, st.floats(0, 100), UNITS)
def test_a_message_is_said_in_any_units_as_if_it_had_been_written_in_them(over_m, room_m, mps, units):
    message = told(
        f"It is {over_ft(over_m)} above, {room_ft(room_m)} under, at {along(abs(room_m))}, "
        f"{Quantity(Kind.SPEED, mps)}."
    )
    for each in (AS_IT_COMES, units):
        assert said(message, each) == (
            f"It is {planned(over_m, each)} above, {limit(room_m, each)} under, at {way(abs(room_m), each)}, "
            f"{say(Kind.SPEED, mps, each)}."
        )
    assert message == said(message, AS_IT_COMES)
    assert json.loads(json.dumps({"message": message})) == {"message": str(message)}
    again = told(f"First. {marked(message)}")
    assert said(again, units) == f"First. {said(message, units)}"
    copy = pickle.loads(pickle.dumps(message))
    assert said(copy, units) == said(message, units)


@given(st.text(), UNITS)
def test_no_text_of_a_user_breaks_a_message_or_leaves_a_mark(name, units):
    message = told(f"{name}: {over_ft(10.0)}")
    for each in (message, said(message, units)):
        assert "\ufdd0" not in each
        assert "\ufdd1" not in each
    assert isinstance(message, Told)


@pytest.mark.parametrize(
    "name",
    ["\ufdd0", "\ufdd0limit:1\ufdd1", "\ufdd0nothing:1\ufdd1", "\ufdd0limit:abc\ufdd1", "\ufdd1\ufdd0"],
)
def test_marks_that_a_user_typed_are_taken_out(name):
    message = told(name)
    assert not {"\ufdd0", "\ufdd1"} & set(message)
    assert not {"\ufdd0", "\ufdd1"} & set(said(message, Units(height="m")))


def test_a_finding_keeps_what_its_words_stand_for():
    finding = Finding(
        "above-height-limit",
        Mark.STOP,
        Basis.LAW,
        f"{over_ft(10.0)} above the limit",
        f"By {over_ft(10.0)}.",
        remedy=f"lower it by {over_ft(10.0)}",
    )
    # 10 m are 32.8 ft; up to the foot 33.
    assert (finding.title, finding.message, finding.remedy) == (
        "33 ft above the limit",
        "By 33 ft.",
        "lower it by 33 ft",
    )
    metres = Units(height="m")
    assert said(finding.title, metres) == "10 m above the limit"
    later = attrs.evolve(finding, mark=Mark.ACT)
    assert said(later.remedy, metres) == "lower it by 10 m"
    assert finding == Finding(
        "above-height-limit",
        Mark.STOP,
        Basis.LAW,
        "33 ft above the limit",
        "By 33 ft.",
        remedy="lower it by 33 ft",
    )


def test_figures_of_the_law_keep_their_feet_with_the_metres_beside():
    """400 ft are 121.92 m, 500 ft 152.4 m, 2,000 ft 609.6 m."""
    metres = Units(height="m")
    assert with_metres("ground + 400 ft", metres) == "ground + 400 ft (121.9 m)"
    assert with_metres("100 to 200 ft", metres) == "100 to 200 ft (30.4 to 60.9 m)"
    assert (
        with_metres("500 ft below and 2,000 ft beside cloud", metres)
        == "500 ft (152.4 m) below and 2,000 ft (609.6 m) beside cloud"
    )
    assert with_metres("1,437 ft (438 m)", metres) == "1,437 ft (438 m)"
    assert with_metres("ground + 400 ft", AS_IT_COMES) == "ground + 400 ft"


@pytest.mark.parametrize("wrong", [{"height": "yd"}, {"speed": "km/h"}, {"way": ""}, {"utc": "yes"}])
def test_other_units_there_are_none(wrong):
    with pytest.raises((ValueError, TypeError)):
        Units(**wrong)


def test_a_moment_in_a_message_is_said_by_its_own_clock_or_in_utc():
    message = told(f"Ends at {Timed('06:00', '16:00 UTC')}, {over_ft(10.0)} up.")
    assert message == "Ends at 06:00, 33 ft up."
    assert said(message, Units(utc=True)) == "Ends at 16:00 UTC, 33 ft up."
    assert said(message, Units(height="m", utc=True)) == "Ends at 16:00 UTC, 10 m up."
    # Into a larger message, through the disk, and by itself.
    assert said(told(marked(message)), Units(utc=True)) == "Ends at 16:00 UTC, 33 ft up."
    assert said(pickle.loads(pickle.dumps(message)), Units(utc=True)) == "Ends at 16:00 UTC, 33 ft up."
    assert said(told(Timed("06:00", "16:00 UTC")), Units(utc=True)) == "16:00 UTC"
    assert not {"\ufdd0", "\ufdd1", "\ufdd2"} & set(message + said(message, Units(utc=True)))
