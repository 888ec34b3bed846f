"""Figures that can't be, or hardly, are told with their bound and why; usual ones are not.

Bounds: momentum theory (tests/flight/test_ideal_power.py), one minute of arc (definition of visual acuity
20/20), thermal noise (-174 dBm/Hz at 290 K). Energy by weight, efficiencies and what is usual: common
practice, from memory, as stated beside each in `planner.rules.absurd`. Aircraft and figures are invented.
"""

import math
from datetime import date

import attrs
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.chart_folders import known_chart_sets
from planner.flight.ideal_power import ideal_power_w
from planner.geo.heights import AboveGround, AboveLaunch
from planner.locate import demo_missions_dir
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction
from planner.plan.crew import TriedRange
from planner.plan.file import read_plan
from planner.plan.model import Purpose
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.absurd_plain_words import ABSURD_WORDS
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, VIDEO, finding, judged

# 0.62 kg, 0.35 m: T = 6.080 N, A = 0.09621 m2; ideal 27.9 W at 1.5 kg/m3, 30.9 W at 1.225.
NEAR = TriedRange("5-inch quad", date(2027, 6, 1), "INVENTED", 900.0, against_sun=True)


def absurd(assessment):
    return {one.rule for one in assessment.findings} & set(ABSURD_WORDS) - {"tried-range-to-check"}


def given(**performance):
    return judged(battery=PACK, performance=attrs.evolve(ABLE, **performance))


def test_usual_figures_are_not_remarked_on():
    assert absurd(judged(battery=PACK, performance=ABLE, radios=(VIDEO,))) == set()
    measured = Performance(measured=MeasuredFlight(390.0, 1_000.0, 12.0), cruise_mps=12.0)
    assert absurd(judged(battery=PACK, performance=measured)) == set()


@pytest.mark.parametrize(
    ("changes", "mark", "words"),
    [
        ({"hover_w": 27.0}, Mark.UNKNOWN, "takes 28 W to carry 1.37 lb in the hover"),
        # 30.9 W over sqrt(1.5), as the size may be that from motor to motor, and 0.65: 38.8 W.
        ({"hover_w": 29.0}, Mark.ACT, "some 39 W are the least"),
        ({"hover_w": 38.5}, Mark.ACT, "some 39 W are the least"),
        ({"hover_w": 39.0}, None, ""),
        # Beside 180 W in the hover: a quarter and a half.
        ({"cruise_w": 18.0}, Mark.UNKNOWN, "a quarter of that, 45 W"),
        ({"cruise_w": 44.0}, Mark.UNKNOWN, "a quarter of that, 45 W"),
        ({"cruise_w": 46.0}, Mark.ACT, "half of that, 90 W"),
        ({"cruise_w": 90.0}, None, ""),
    ],
)
def test_a_power_below_that_of_an_ideal_rotor_as_wide_as_the_aircraft(changes, mark, words):
    assessment = given(**changes)
    found = finding(assessment, "power-too-low")
    assert (found.mark if found else None) is mark
    if found:
        assert words in found.message
        assert "too well" in found.message
        (watts,) = changes.values()
        assert found.numbers["power_w"] == watts < found.numbers["least_w"]
        assert (assessment.verdict is Verdict.UNDETERMINED) is (mark is Mark.UNKNOWN)


def test_the_bound_of_the_hover_is_that_of_the_textbook():
    least_w = finding(given(hover_w=27.0), "power-too-low").numbers["least_w"]
    thrust_n, area_m2 = 0.62 * 9.80665, math.pi * 0.35**2 / 4
    assert least_w == pytest.approx(math.sqrt(thrust_n**3 / (2 * 1.5 * area_m2)), rel=1e-9)
    assert least_w == pytest.approx(ideal_power_w(0.62, 0.35))


def test_a_figure_on_which_nothing_rests_is_only_something_to_mend():
    found = finding(judged(performance=attrs.evolve(ABLE, hover_w=5.0)), "power-too-low")
    assert found.mark is Mark.ACT
    winged = judged(battery=PACK, performance=attrs.evolve(ABLE, hover_w=5.0), form=AircraftForm.FIXED_WING)
    assert finding(winged, "power-too-low") is None


@pytest.mark.parametrize(
    ("flight", "rule", "mark"),
    [
        # 6 x 3.7 V: 1,000 mAh in 390 s are 205 W; 20 mAh are 4.1 W.
        (MeasuredFlight(390.0, 20.0, 12.0), "power-too-low", Mark.UNKNOWN),
        (MeasuredFlight(86_400.0, 1_000.0, None), "power-too-low", Mark.UNKNOWN),
        (MeasuredFlight(390.0, 1_300.0), "measured-beyond-battery", None),
        (MeasuredFlight(390.0, 1_400.0), "measured-beyond-battery", Mark.ACT),
        (MeasuredFlight(390.0, 1_000.0, 21.0), "airspeed-to-check", Mark.UNKNOWN),
        (MeasuredFlight(390.0, 1_000.0, 20.0), "airspeed-to-check", None),
    ],
)  # fmt: skip
def test_a_measured_flight_that_can_not_have_been(flight, rule, mark):
    found = finding(judged(battery=PACK, performance=Performance(measured=flight, highest_mps=20.0)), rule)
    assert (found.mark if found else None) is mark


@pytest.mark.parametrize(
    ("battery", "mark"),
    [
        # 0.7 of 0.62 kg at 220 Wh/kg are 95.5 Wh (4,301 mAh at 6 x 3.7 V); all of it 136.4 Wh (6,144 mAh).
        (Battery("LiPo", 6, 4_290.0), None),
        (Battery("LiPo", 6, 4_310.0), Mark.ACT),
        (Battery("LiPo", 6, 6_130.0), Mark.ACT),
        (Battery("LiPo", 6, 6_150.0), Mark.UNKNOWN),
        (Battery("LiPo", 6, 13_970.0), Mark.UNKNOWN),
        (Battery("Li-ion", 6, 6_000.0), None),  # 300 Wh/kg: 130.2 Wh are 6,028 mAh at 6 x 3.6 V
        (Battery("Li-ion", 6, 6_040.0), Mark.ACT),
        (Battery("INVENTED", 6, 100_000.0), Mark.ACT),  # nothing is reckoned from it
    ],
)
def test_a_battery_that_would_weigh_more_than_the_aircraft_can_carry(battery, mark):
    found = finding(judged(battery=battery, performance=ABLE), "battery-too-much")
    assert (found.mark if found else None) is mark
    if found:
        assert "Wh a kilogram" in found.message
        assert "lb; 1.37 lb take off." in found.message


@pytest.mark.parametrize(("mohm", "told"), [(0.76, True), (0.78, False), (4.0, False)])
def test_a_cell_without_resistance(mohm, told):
    found = finding(judged(battery=attrs.evolve(PACK, cell_resistance_mohm=mohm)), "cell-resistance-too-low")
    assert (found is not None) is told  # 0.001 Ohm Ah over 1.3 Ah: 0.77 mOhm


@pytest.mark.parametrize(
    ("able", "words"),
    [
        (Performance(cruise_mps=15.0, highest_mps=14.0), "cruise airspeed is above the highest"),
        (Performance(cruise_mps=15.0, highest_mps=61.0), "really so fast"),
        (Performance(cruise_mps=61.0), "really so fast"),
        (Performance(cruise_mps=15.0, highest_mps=60.0), None),
        (Performance(cruise_mps=15.0, highest_mps=15.0), None),
    ],
)
def test_airspeeds_that_contradict_each_other_or_hold_any_storm(able, words):
    found = finding(judged(performance=able), "airspeed-to-check")
    assert (found is not None) is (words is not None)
    if found:
        assert found.mark is Mark.ACT
        assert words in found.title


@pytest.mark.parametrize(
    ("kg", "size_m", "form", "told"),
    [
        (0.92, 0.46, AircraftForm.ROTORCRAFT, False),
        (0.025, 0.09, AircraftForm.ROTORCRAFT, False),
        (24.0, 2.6, AircraftForm.ROTORCRAFT, False),
        (0.92, 4.6, AircraftForm.ROTORCRAFT, True),  # a digit too many
        (0.92, 0.046, AircraftForm.ROTORCRAFT, True),  # a digit too few: 9,452 kg/m3, heavier than iron
        (1.5, 4.0, AircraftForm.FIXED_WING, False),  # a glider
        (1.5, 15.0, AircraftForm.FIXED_WING, True),
    ],
)
def test_a_size_that_does_not_go_with_the_weight(kg, size_m, form, told):
    found = finding(judged(take_off_weight_kg=kg, largest_dimension_m=size_m, form=form), "size-to-check")
    assert (found is not None) is told
    assert found is None or found.mark is Mark.ACT


@pytest.mark.parametrize(("cm2", "told"), [(14.0, True), (16.0, False), (120.0, False)])
def test_a_drag_area_that_falls_like_a_dart(cm2, told):
    """0.62 kg fall at 80 m/s with 2 m g / (rho v^2) = 15.51 cm2 (check values 8.6, by hand)."""
    found = finding(judged(performance=Performance(drag_area_m2=cm2 / 1e4)), "drag-area-to-check")
    assert (found is not None) is told


@pytest.mark.parametrize(("visibility_m", "told"), [(79_000.0, False), (81_000.0, True)])
def test_a_visibility_that_hardly_a_day_has(visibility_m, told):
    found = finding(judged(visibility_m=visibility_m), "visibility-to-check")
    assert (found is not None) is told
    assert found is None or (found.mark is Mark.ACT and "50.3 statute miles" in found.message)


@pytest.mark.parametrize(("metres", "by_dark", "told"), [(1_203.0, None, False), (1_204.0, None, True)])
def test_a_range_tried_where_the_aircraft_is_smaller_than_a_minute_of_arc(metres, by_dark, told):
    """0.35 m / tan(1/60 degree) = 1,203.2 m."""
    tried = attrs.evolve(NEAR, distance_m=metres, by_dark=by_dark)
    plan = worlds.plan()
    crew = tuple(attrs.evolve(one, tried_ranges=(tried,)) for one in plan.crew)
    found = finding(assess(attrs.evolve(plan, crew=crew), worlds.world()), "tried-range-to-check")
    assert (found is not None) is told
    if found:
        assert found.mark is Mark.ACT
        assert "minute of arc" in found.message
        assert found.citation


@pytest.mark.parametrize(("dbm", "told"), [(-107.1, True), (-106.9, False)])
def test_a_picture_below_the_noise(dbm, told):
    """-174 + 10 log10(5e6) = -107.0 dBm."""
    found = finding(judged(radios=(attrs.evolve(VIDEO, sensitivity_dbm=dbm),)), "sensitivity-to-check")
    assert (found is not None) is told


@pytest.mark.parametrize(
    ("reserve", "words"), [(0.0, "0 % landing reserve"), (0.19, "19 % landing reserve"), (0.2, None)]
)
def test_a_small_landing_reserve_is_told_as_an_own_limit(reserve, words):
    assessment = given(landing_reserve=reserve)
    found = finding(assessment, "own-limit-small")
    assert (found is not None) is (words is not None)
    if found:
        assert (found.mark, found.basis, found.citation) == (Mark.ACT, Basis.OWN_LIMIT, "")
        assert words in found.title
    # Where no charge is reckoned the reserve is of no weight.
    assert finding(judged(performance=Performance(landing_reserve=0.0)), "own-limit-small") is None


def test_other_small_own_limits_of_the_flight():
    thin = judged(radios=(attrs.evolve(VIDEO, required_margin_db=3.0),))
    assert "3 dB margin for video" in finding(thin, "own-limit-small").title
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(60.0), clear_by_m=0.0)
    assert "0 ft clearance" in finding(judged(link_loss=back), "own-limit-small").title
    for clear_by_m in (None, 10.0):
        kept = judged(link_loss=attrs.evolve(back, clear_by_m=clear_by_m))
        assert finding(kept, "own-limit-small") is None


def test_an_area_without_a_path_is_told_too_and_left_open_where_charge_is_reckoned():
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0))
    plan = worlds.plan(purpose=Purpose.PART_107, area=area, path=())
    craft = attrs.evolve(plan.aircraft, battery=PACK, performance=attrs.evolve(ABLE, hover_w=5.0))
    reckoned = assess(attrs.evolve(plan, aircraft=craft), worlds.world())
    assert finding(reckoned, "power-too-low").mark is Mark.UNKNOWN
    bare = attrs.evolve(craft, battery=None)
    assert (
        finding(assess(attrs.evolve(plan, aircraft=bare), worlds.world()), "power-too-low").mark is Mark.ACT
    )


def test_slips_that_were_ready_without_a_word():
    """The review's own cases on the demo mission that is ready, as far as a file may still say them."""
    plan = read_plan(demo_missions_dir() / "long_run_shorter.lowline.geojson")
    world = surroundings(plan, known_sets=known_chart_sets())
    assert absurd(assess(plan, world)) == set()
    craft = plan.aircraft
    slips = (
        attrs.evolve(craft, battery=attrs.evolve(craft.battery, capacity_mah=130_000.0)),
        attrs.evolve(craft, performance=attrs.evolve(craft.performance, cruise_w=1.0, hover_w=1.0)),
        attrs.evolve(
            craft,
            performance=Performance(
                measured=MeasuredFlight(86_400.0, 5.0), cruise_mps=15.0, highest_mps=24.0
            ),
        ),
    )  # fmt: skip
    for slip in slips:
        judged_so = assess(attrs.evolve(plan, aircraft=slip), world)
        assert judged_so.verdict is Verdict.UNDETERMINED
        assert {"power-too-low", "battery-too-much"} & {
            one["rule"] for one in check_json(judged_so)["findings"]
        }
