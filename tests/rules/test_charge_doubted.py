"""A charge that can't be believed brings nobody home: not in a finding, not on a strip, not on the sheet.

What a measured flight takes holds for its own airspeed (common practice). Ground, path and aircraft are
invented; the turn-back words are held against the same figures in `check --json`.
"""

import math

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.pilot_page import battery_lines
from planner.desk.profile.flight_readout import strip_words
from planner.desk.profile.strips import strips_of
from planner.drawing.strip_rows import Look, strip_rows
from planner.plan.ground import GroundSpot
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, blowing, finding, judged
from tests.worlds import GROUND_M, at, terrain

MEASURED = MeasuredFlight(400.0, 900.0)


def on_desk_and_paper(answer):
    """Texts of the battery: strip, at the pointer, printed strip, pilot's page."""
    (strip,) = [one for one in strips_of(answer) if one.name == "battery"]
    (row,) = [one for one in strip_rows(answer) if one.name == "battery"]
    return (
        " ".join(one.text for one in strip.intervals),
        " ".join(strip_words(answer, answer.track.length_m / 2, "battery")),
        {run.look for run in row.runs},
        " ".join(battery_lines(answer)),
    )


def test_a_measured_flight_without_an_airspeed_stands_for_no_speed():
    answer = judged(battery=PACK, performance=Performance(measured=MEASURED, highest_mps=24.0))
    found = finding(answer, "measured-without-speed")
    assert found.mark is Mark.UNKNOWN
    assert answer.verdict is Verdict.UNDETERMINED
    assert finding(answer, "home-reached") is None
    strip, pointed, looks, sheet = on_desk_and_paper(answer)
    assert strip == "not known: at which speed the measured power holds is not known"
    assert "home from here not known" in pointed
    assert looks == {Look.UNKNOWN}
    assert "whether it comes home is not known" in sheet
    assert "reached" not in sheet
    assert "%" not in sheet.split("Reckoned from")[0]


@pytest.mark.parametrize(
    ("performance", "reckoned"),
    [
        (Performance(measured=attrs.evolve(MEASURED, air_speed_mps=12.0)), True),
        (Performance(measured=MEASURED, cruise_mps=12.0), True),
        (attrs.evolve(ABLE, measured=MEASURED), True),
        (Performance(hover_w=180.0), False),
    ],
)
def test_with_a_speed_it_stands_for_that_one(performance, reckoned):
    answer = judged(battery=PACK, performance=performance)
    assert finding(answer, "measured-without-speed") is None
    assert (finding(answer, "home-reached") is not None) is reckoned


def test_no_flight_without_a_speed_is_ready_in_any_wind_and_what_is_not_reached_stays_a_stop():
    slow = Performance(measured=MEASURED, highest_mps=24.0)
    for wind in (None, blowing(6.0), blowing(12.0, 15.0)):
        assert judged(battery=PACK, performance=slow, weather=wind).verdict is not Verdict.READY
    small = attrs.evolve(PACK, capacity_mah=200.0)
    answer = judged(battery=small, performance=attrs.evolve(slow, measured=MeasuredFlight(60.0, 180.0)))
    assert finding(answer, "home-not-reached").mark is Mark.STOP


@pytest.mark.parametrize(
    "craft",
    [
        {"battery": attrs.evolve(PACK, capacity_mah=13_000.0), "performance": ABLE},
        {"battery": PACK, "performance": attrs.evolve(ABLE, cruise_mps=30.0)},
        {"battery": PACK, "performance": attrs.evolve(ABLE, cruise_w=18.0)},
    ],
)
def test_a_figure_that_can_not_be_brings_nobody_home(craft):
    answer = judged(**craft)
    assert answer.verdict is Verdict.UNDETERMINED
    assert finding(answer, "home-reached") is None
    strip, pointed, looks, sheet = on_desk_and_paper(answer)
    assert strip.startswith("not known: ")
    assert "home from here not known" in pointed
    assert looks == {Look.UNKNOWN}
    assert "No turn-back point" not in sheet


def test_believed_figures_say_home_everywhere():
    answer = judged(battery=PACK, performance=ABLE)
    strip, pointed, looks, sheet = on_desk_and_paper(answer)
    assert strip.startswith("home reached with ")
    assert "home from here with " in pointed
    assert looks == {Look.FINE}
    assert "No turn-back point: home is reached" in sheet


def test_over_ground_that_nobody_knows_home_is_reached_nowhere():
    """The landing place lies beside a void; from the middle of the path on the way home leads over it."""
    gap = terrain(lambda x, y: np.where((y < -100) & (y > -300) & (x > 150), np.nan, GROUND_M), cell_m=30.0)
    path = worlds.points([(0, 0, 40.0), (400, 0, 40.0)])
    plan = attrs.evolve(worlds.plan(path=path), landing=GroundSpot(at(0, -400)))
    craft = attrs.evolve(plan.aircraft, battery=PACK, performance=ABLE)
    answer = assess(attrs.evolve(plan, aircraft=craft), worlds.world(terrain=gap))
    assert finding(answer, "home-over-unknown-ground").mark is Mark.UNKNOWN
    (strip,) = [one for one in strips_of(answer) if one.name == "battery"]
    known, unknown = strip.intervals
    assert known.text.startswith("home reached with ")
    assert unknown.text == "not known: ground on the way home is not known"
    assert 150.0 < known.to_m < 400.0
    assert "not known" in " ".join(battery_lines(answer))


def test_the_turn_back_words_of_the_sheet_are_those_of_the_place():
    """Charge used there, between the samples beside it, and the distance, from the documented arrays."""
    answer = judged(battery=attrs.evolve(PACK, capacity_mah=450.0), performance=ABLE, far_m=2_000.0)
    told = check_json(answer)
    at_m = finding(answer, "home-not-reached").from_m
    used = np.interp(at_m, told["profile"]["distance_m"], answer.flight.charge.energy.used_mah)
    (line,) = [one for one in battery_lines(answer) if one.startswith("Turn back at ")]
    # A limit: rounded down.
    far_km = math.floor(at_m / 10 + 1e-6) / 100
    assert f"Turn back at {far_km:.2f} km" in line or f"Turn back at {math.floor(at_m + 1e-6):,} m" in line
    assert f"{int(used):,} mAh used" in line
    # By hand, of 9.99 Wh: climb 20 s at 204.3 W, 1.135 Wh; descent 20 s at 180 W, 1.0 Wh; out and home
    # take the same: 1.135 + (0.75 x 9.99 - 1.135 - 1.0) / 2 = 3.814 Wh.
    assert used / 450.0 == pytest.approx(3.814 / 9.99, abs=0.002)
