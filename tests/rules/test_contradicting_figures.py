"""Figures of one aircraft that can't both be true leave the answer open; honest ones are left alone.

Bounds: momentum theory and the figure of merit of rotors (by hand below), thermal noise (-174 dBm/Hz at
290 K) and Shannon's bound (ln 2 of the noise in a hertz for a bit), an antenna's aperture (G lambda^2 / 4 pi)
and Harrington's normal gain ((ka)^2 + 2 ka). Weights, sizes and powers of honest aircraft are what such craft
draw (common practice, from memory); aircraft and figures are invented.
"""

import math

import attrs
import pytest

from planner.assess import assess
from planner.chart_folders import known_chart_sets
from planner.flight.ideal_power import ideal_power_w, least_power_w
from planner.locate import demo_missions_dir
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.file import read_plan
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.absurd_plain_words import ABSURD_WORDS
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from tests.rules.test_flight_rules import ABLE, PACK, VIDEO, blowing, finding, judged

ROTOR, WING = AircraftForm.ROTORCRAFT, AircraftForm.FIXED_WING
CONTROL = Radio(
    RadioUse.CONTROL,
    915.0,
    100.0,
    analog=False,
    ground_gain_dbi=2.0,
    air_gain_dbi=2.0,
    sensitivity_dbm=-112.0,
)
DIGITAL = attrs.evolve(VIDEO, analog=False, power_mw=700.0, sensitivity_dbm=-95.0, width_mhz=20.0)


def able(hover_w, cruise_w, cruise_mps, highest_mps, **more):
    return Performance(
        hover_w=hover_w, cruise_w=cruise_w, cruise_mps=cruise_mps, highest_mps=highest_mps, **more
    )


HONEST = {
    "whoop": (ROTOR, 0.025, 0.083, able(9.0, 12.0, 5.0, 12.0), Battery("LiHV", 1, 300.0)),
    "whoop, motor to motor": (
        ROTOR, 0.025, 0.065, able(7.0, 8.0, 5.0, 10.0), Battery("LiHV", 1, 300.0, 40.0)
    ),
    "one cell, long range": (ROTOR, 0.095, 0.16, able(11.0, 12.0, 7.0, 15.0), Battery("Li-ion", 1, 3_500.0)),
    "3-inch with ducts": (ROTOR, 0.35, 0.23, able(110.0, 120.0, 8.0, 16.0), Battery("LiPo", 6, 850.0, 6.0)),
    "4-inch": (ROTOR, 0.248, 0.22, able(26.0, 24.0, 10.0, 20.0), Battery("Li-ion", 2, 3_500.0, 25.0)),
    "5-inch racer": (
        ROTOR, 0.65, 0.33, able(140.0, 160.0, 18.0, 50.0, climb_mps=30.0), Battery("LiPo", 6, 1_300.0, 2.0)
    ),
    "7-inch": (
        ROTOR, 1.5, 0.48, able(220.0, 230.0, 16.0, 30.0, climb_mps=6.0, drag_area_m2=0.03),
        Battery("Li-ion", 6, 8_400.0, 12.0),
    ),
    "7-inch, motor to motor": (
        ROTOR, 1.5, 0.315, able(200.0, 190.0, 16.0, 30.0), Battery("Li-ion", 6, 8_400.0)
    ),
    "light 7-inch, motor to motor": (
        ROTOR, 1.0, 0.295, able(110.0, 95.0, 14.0, 25.0), Battery("Li-ion", 4, 6_000.0)
    ),
    "7-inch, measured": (
        ROTOR, 1.5, 0.48,
        Performance(measured=MeasuredFlight(1_500.0, 4_300.0, 15.0), highest_mps=28.0),
        Battery("Li-ion", 6, 8_400.0),
    ),
    "lifter": (ROTOR, 10.0, 1.5, able(1_300.0, 1_250.0, 10.0, 20.0), Battery("LiPo", 12, 22_000.0, 0.8)),
    "lifter, eight rotors": (
        ROTOR, 10.0, 1.1, able(1_000.0, 950.0, 10.0, 20.0), Battery("Li-ion", 12, 45_000.0, 2.0)
    ),
    "helicopter": (ROTOR, 5.0, 1.6, able(500.0, 450.0, 20.0, 40.0), Battery("LiPo", 12, 5_000.0)),
    "wing of 0.9 m": (
        WING, 0.55, 0.9, able(None, 45.0, 16.0, 40.0, climb_mps=8.0), Battery("Li-ion", 4, 3_000.0)
    ),
    "wing of 2 m": (
        WING, 2.4, 2.0, able(None, 60.0, 15.0, 28.0, climb_mps=4.0), Battery("Li-ion", 4, 10_000.0)
    ),
    "wing of 2 m, measured": (
        WING, 2.4, 2.0,
        Performance(measured=MeasuredFlight(3_600.0, 4_500.0, 15.0), highest_mps=28.0),
        Battery("Li-ion", 4, 10_000.0),
    ),
    "motor glider": (WING, 4.0, 3.6, able(None, 35.0, 12.0, 22.0), Battery("Li-ion", 4, 30_000.0)),
    "hand launched glider": (WING, 0.3, 1.5, able(None, 5.0, 7.0, 16.0), Battery("LiPo", 2, 800.0)),
}  # fmt: skip


@pytest.mark.parametrize("name", HONEST)
def test_an_honest_aircraft_is_neither_refused_nor_remarked_on(name):
    form, kg, size_m, performance, battery = HONEST[name]
    answer = judged(
        form=form,
        take_off_weight_kg=kg,
        largest_dimension_m=size_m,
        performance=performance,
        battery=battery,
        radios=(VIDEO, CONTROL, DIGITAL),
        weather=blowing(2.0),
        far_m=100.0,
    )
    told = {one.rule for one in answer.findings if one.mark is not Mark.NOTE} & set(ABSURD_WORDS)
    assert told - {"tried-range-to-check"} == set()
    assert answer.flight.charge is not None, "the figures are reckoned with"


def told(mark, answer):
    return [one for one in answer.findings if one.mark is mark and one.rule in ABSURD_WORDS]


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"cruise_mps": 30.0}, "airspeed-to-check"),
        ({"climb_mps": 30.0}, "airspeed-to-check"),
        ({"cruise_w": 18.0}, "power-too-low"),
    ],
)
def test_one_contradiction_is_one_unknown(changes, rule):
    answer = judged(battery=PACK, performance=attrs.evolve(ABLE, **changes))
    (found,) = told(Mark.UNKNOWN, answer)
    assert found.rule == rule
    assert [one for one in told(Mark.ACT, answer) if one.rule != "tried-range-to-check"] == []
    assert answer.verdict is Verdict.UNDETERMINED


def test_a_climb_faster_than_it_flies_is_told_once():
    answer = judged(battery=PACK, performance=attrs.evolve(ABLE, climb_mps=150.0))
    assert [one.mark for one in answer.findings if one.rule == "airspeed-to-check"] == [Mark.UNKNOWN]


def test_a_return_faster_than_it_flies_is_one_too_and_one_finding_tells_all_that_are():
    back = LinkLoss(LinkLossAction.LAND, 1.0, speed_mps=25.0)
    fast = attrs.evolve(ABLE, cruise_mps=22.0)
    (found,) = told(Mark.UNKNOWN, judged(battery=PACK, performance=fast, link_loss=back))
    assert "cruise airspeed" in found.message
    assert "return on lost link" in found.message
    assert found.numbers == {"speed_mps": 25.0, "highest_mps": 20.0}


@pytest.mark.parametrize(("cruise_mps", "mark"), [(20.0, None), (20.5, Mark.ACT), (20.7, Mark.UNKNOWN)])
def test_a_rounding_of_a_knot_above_the_highest_is_only_something_to_mend(cruise_mps, mark):
    found = finding(
        judged(battery=PACK, performance=attrs.evolve(ABLE, cruise_mps=cruise_mps)), "airspeed-to-check"
    )
    assert (found.mark if found else None) is mark


def test_where_nothing_is_reckoned_with_a_speed_it_is_only_something_to_mend():
    slip = attrs.evolve(ABLE, cruise_mps=30.0)
    assert finding(judged(performance=slip), "airspeed-to-check").mark is Mark.ACT
    assert finding(judged(performance=slip, weather=blowing(2.0)), "airspeed-to-check").mark is Mark.UNKNOWN


def test_the_least_power_that_flies_is_the_blades_and_the_ideal_disc_by_hand():
    """0.92 kg, 0.46 m: T = 9.022 N. From motor to motor: disc of 0.6505 m, 0.3324 m2, hover 27.14 W.

    Of air of 1.5 kg/m3: v^2 = 9.022 / (2 x 1.5 x 0.3324) = 9.048; at 15 m/s w = v^2 / V = 0.6032, more
    exactly 0.6027: 5.44 W.
    """
    assert ideal_power_w(0.92, 0.46 * math.sqrt(2)) == pytest.approx(27.14, abs=0.02)
    assert least_power_w(0.92, 0.46, 15.0, winged=False) == pytest.approx((5.44 + 27.14 / 4) / 0.9, abs=0.02)
    assert least_power_w(0.92, 0.46, None, winged=False) == pytest.approx(27.14 / 4 / 0.9, abs=0.02)
    # 2.4 kg that glides 1 in 60 at 15 m/s: 23.54 N x 15 / 60 = 5.88 W, over 0.8.
    assert least_power_w(2.4, 2.0, 15.0, winged=True) == pytest.approx(7.36, abs=0.01)
    assert least_power_w(2.4, 2.0, None, winged=True) == 0.0


@pytest.mark.parametrize(
    ("kg", "size_m", "form", "mah", "mark"),
    [
        # 22.2 V: 90 mAh in 600 s are 12 W, where 13.6 W are the least; 150 mAh are 20 W.
        (0.92, 0.46, ROTOR, 90.0, Mark.UNKNOWN),
        (0.92, 0.46, ROTOR, 150.0, Mark.ACT),
        # Half of what an ideal disc of 0.46 m takes in usual air, 42.5 W, at 0.65: 32.7 W; 180 mAh are 24 W.
        (0.92, 0.46, ROTOR, 180.0, Mark.ACT),
        (0.92, 0.46, ROTOR, 900.0, None),
        # A wing of 2 m: 7.4 W are the least; 50 mAh in 600 s are 6.7 W, 500 mAh 67 W.
        (2.4, 2.0, WING, 50.0, Mark.UNKNOWN),
        (2.4, 2.0, WING, 500.0, None),
    ],
)
def test_a_measured_flight_on_a_tenth_of_the_power(kg, size_m, form, mah, mark):
    measured = Performance(measured=MeasuredFlight(600.0, mah), cruise_mps=15.0, highest_mps=24.0)
    answer = judged(
        battery=PACK, performance=measured, take_off_weight_kg=kg, largest_dimension_m=size_m, form=form
    )
    found = finding(answer, "power-too-low")
    assert (found.mark if found else None) is mark


def reckoned(**radio):
    return judged(radios=(attrs.evolve(VIDEO, **radio),))


@pytest.mark.parametrize(
    ("radio", "mark"),
    [
        (attrs.evolve(VIDEO, sensitivity_dbm=-106.9), None),  # 5 MHz: -107.0 dBm
        (attrs.evolve(VIDEO, sensitivity_dbm=-107.1), Mark.UNKNOWN),
        (attrs.evolve(DIGITAL, sensitivity_dbm=-100.9), None),  # 20 MHz: -101.0 dBm
        (attrs.evolve(DIGITAL, sensitivity_dbm=-101.1), Mark.ACT),
        (attrs.evolve(DIGITAL, sensitivity_dbm=-113.9), Mark.ACT),
        (attrs.evolve(DIGITAL, sensitivity_dbm=-114.1), Mark.UNKNOWN),  # 1 MHz: -114.0 dBm
        (attrs.evolve(CONTROL, sensitivity_dbm=-133.9), None),  # 10 kHz: -134.0 dBm
        (attrs.evolve(CONTROL, sensitivity_dbm=-134.1), Mark.ACT),
        (attrs.evolve(CONTROL, sensitivity_dbm=-145.5), Mark.ACT),
        (attrs.evolve(CONTROL, sensitivity_dbm=-145.7), Mark.UNKNOWN),  # -174 + 10 log10(1,000 ln 2) = -145.6
    ],
)
def test_a_receiver_that_hears_below_the_noise(radio, mark):
    found = finding(judged(radios=(radio,)), "sensitivity-to-check")
    assert (found.mark if found else None) is mark
    if mark is Mark.UNKNOWN:
        # Of a link that lacks a figure nothing was reckoned.
        half = judged(radios=(attrs.evolve(radio, power_mw=None),))
        assert finding(half, "sensitivity-to-check").mark is Mark.ACT


@pytest.mark.parametrize(
    ("changes", "mark", "words"),
    [
        # 0.35 m at 5,800 MHz: ka = pi 0.35 / 0.05169 = 21.3; 496 times are 27.0 dBi.
        ({"air_gain_dbi": 9.0}, None, ""),
        ({"air_gain_dbi": 26.5}, Mark.ACT, "one way only"),
        ({"air_gain_dbi": 27.5}, Mark.UNKNOWN, "27 dBi at the most"),
        ({"ground_gain_dbi": 24.0}, None, ""),
        # lambda / pi sqrt(10^4) = 1.645 m, 5.4 ft; at 2,400 MHz 3.98 m.
        ({"ground_gain_dbi": 40.0}, Mark.ACT, "a dish of 5 ft"),
        ({"ground_gain_dbi": 40.0, "frequency_mhz": 2_400.0}, Mark.UNKNOWN, "nobody carries"),
    ],
)
def test_a_gain_beyond_what_its_size_lets_an_antenna_have(changes, mark, words):
    found = finding(reckoned(**changes), "antenna-to-check")
    assert (found.mark if found else None) is mark
    assert found is None or words in found.message


def test_power_and_masts_beyond_what_is_usual_can_be_and_are_told():
    assert finding(reckoned(power_mw=5_000.0), "radio-power-to-check") is None
    assert finding(reckoned(power_mw=20_000.0), "radio-power-to-check").mark is Mark.ACT
    whoop = judged(
        radios=(attrs.evolve(VIDEO, power_mw=20_000.0),), performance=able(9.0, 12.0, 5.0, 12.0),
        take_off_weight_kg=0.025, largest_dimension_m=0.083,
    )  # fmt: skip
    found = finding(whoop, "radio-power-to-check")
    assert found.mark is Mark.UNKNOWN
    assert "flies on 9 W" in found.message
    assert finding(reckoned(ground_antenna_m=10.0), "antenna-height-to-check") is None
    high = finding(reckoned(ground_antenna_m=50.0), "antenna-height-to-check")
    assert high.mark is Mark.ACT
    assert "164 ft" in high.title


def on_demo(name, **changes):
    plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return assess(
        attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, **changes)),
        surroundings(plan, known_sets=known_chart_sets()),
    )


def test_no_absurd_figure_turns_a_stop_of_the_demo_missions_into_ready():
    plan = read_plan(demo_missions_dir() / "long_run_against_the_wind.lowline.geojson")
    slow = plan.aircraft.performance
    for performance in (
        attrs.evolve(slow, cruise_mps=30.0),
        attrs.evolve(slow, cruise_w=21.0),
        Performance(measured=MeasuredFlight(600.0, 90.0), cruise_mps=15.0, highest_mps=24.0),
    ):
        assert on_demo("long_run_against_the_wind", performance=performance).verdict in {
            Verdict.UNDETERMINED,
            Verdict.MUST_CHANGE,
        }
    plan = read_plan(demo_missions_dir() / "canyon_video_breaks.lowline.geojson")
    (video,) = plan.aircraft.radios
    deaf = on_demo("canyon_video_breaks", radios=(attrs.evolve(video, sensitivity_dbm=-159.0),))
    assert deaf.verdict is Verdict.UNDETERMINED
