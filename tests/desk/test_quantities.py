"""Typed quantities. Factors: international yard and pound agreement of 1959 (foot 0.3048 m, pound
0.45359237 kg), nautical mile 1852 m (IHO 1929): exact.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.desk.quantities import LENGTHS, SPEEDS, WEIGHTS, parse, words
from planner.errors import PlanError


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("120 ft", 36.576),
        ("120", 36.576),
        ("36m", 36.0),
        (" 36 M ", 36.0),
        ("1,200 ft", 365.76),
        ("-12 ft", -3.6576),
        ("1 mi", 1609.344),
        ("10 in", 0.254),
        ("250 mm", 0.25),
        ("100 feet", 30.48),
        ("0.5 km", 500.0),
    ],
)
def test_lengths(text, metres):
    assert parse(text, LENGTHS, "ft", "height") == pytest.approx(metres, rel=1e-12)


def test_weights_and_speeds():
    assert parse("1 lb", WEIGHTS, "lb", "weight") == pytest.approx(0.45359237, rel=1e-12)
    assert parse("620 g", WEIGHTS, "lb", "weight") == pytest.approx(0.62, rel=1e-12)
    assert parse("87 kt", SPEEDS, "kt", "speed") == pytest.approx(44.7567, abs=5e-5)


@pytest.mark.parametrize(
    "text", ["", "abc", "12 furlongs", "1,5 ft", "1.2.3 m", "--3", "nan", "inf", "1e3000 m"]
)
def test_what_is_no_quantity_is_refused_in_one_line(text):
    with pytest.raises(PlanError) as refused:
        parse(text, LENGTHS, "ft", "height")
    assert "\n" not in refused.value.one_line()


@given(st.floats(min_value=-900, max_value=30000, allow_nan=False))
def test_what_is_shown_reads_back(metres):
    shown = words(metres, "ft", LENGTHS, 3)
    assert parse(shown, LENGTHS, "ft", "height") == pytest.approx(metres, abs=0.001)
