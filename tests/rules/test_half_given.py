"""What the pilot gives in part is never taken for fine: either it is reckoned, or it is something to do.

Radio: 47 CFR 15.249 and part 97 (check values 4.6, 4.8). The rest is the issue's own demand.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.flight.loss_charge import left_after_return
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction, RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.beneath_axis import beneath_axis
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.world.structures import Structure
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, VIDEO, blowing, finding, judged

CRUISE_ONLY = Performance(cruise_mps=15.0)
RETURN = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(40.0), speed_mps=12.0)


def eastward(wind, performance, speed_mps=14.0, **changes):
    """Judge 400 m to the east, 40 m up, at a stated speed over the ground."""
    path = worlds.points([(0, 0, 40.0), (400, 0, 40.0)], LegShape.STRAIGHT)
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps)) for one in path)
    plan = worlds.plan(purpose=Purpose.PART_107, path=path)
    aircraft = attrs.evolve(plan.aircraft, performance=performance, **changes)
    return assess(attrs.evolve(plan, aircraft=aircraft, weather=wind, visibility_m=9_000.0), worlds.world())


@pytest.mark.parametrize(
    ("wind", "rule"),
    [
        (blowing(30.0, from_deg=90.0), "way-not-held"),  # against it: cruise makes no way
        (blowing(16.0, from_deg=0.0), "way-not-held"),  # across: more drift than cruise holds
        (blowing(8.0, from_deg=90.0), "leg-slower-than-planned"),  # 7 m/s instead of 14
        (blowing(8.0, from_deg=270.0), None),
    ],
)
def test_cruise_alone_says_what_wind_is_held_though_each_leg_states_a_speed(wind, rule):
    assessment = eastward(wind, CRUISE_ONLY)
    found = {one.rule for one in assessment.findings} & {"way-not-held", "leg-slower-than-planned"}
    assert found == ({rule} if rule else set())
    assert (assessment.verdict is Verdict.READY) is (rule != "way-not-held")


def test_a_leg_faster_than_cruise_is_flown_in_still_air():
    assert finding(eastward(None, CRUISE_ONLY, speed_mps=25.0), "leg-slower-than-planned") is None
    faster = eastward(blowing(8.0, from_deg=90.0), attrs.evolve(CRUISE_ONLY, highest_mps=30.0))
    assert finding(faster, "leg-slower-than-planned") is None


@pytest.mark.parametrize(
    ("battery", "performance", "wanting"),
    [
        (Battery("foo", 6, 1_300.0), ABLE, "foo is not"),
        (PACK, Performance(hover_w=180.0), "power in cruise"),
        (PACK, Performance(cruise_w=180.0), "with its airspeed"),
        (PACK, None, "a measured flight"),
        (None, ABLE, "cells and capacity"),
        (None, Performance(measured=MeasuredFlight(300.0, 900.0)), "cells and capacity"),
    ],
)
def test_a_battery_that_can_not_be_reckoned_with_is_said_with_what_is_wanting(battery, performance, wanting):
    assessment = judged(battery=battery, performance=performance)
    found = finding(assessment, "charge-not-reckoned")
    assert found.mark is Mark.ACT
    assert wanting in found.message
    assert any(line.startswith("battery and way home: ") for line in assessment.not_known)


@pytest.mark.parametrize(
    ("battery", "performance"), [(PACK, ABLE), (None, None), (None, Performance(cruise_mps=15.0))]
)
def test_a_battery_reckoned_with_or_not_given_at_all_asks_for_nothing(battery, performance):
    assert finding(judged(battery=battery, performance=performance), "charge-not-reckoned") is None


def test_a_wind_that_forbids_the_way_home_is_not_cured_by_a_battery():
    stop = finding(judged(weather=blowing(21.0), battery=PACK, performance=ABLE), "home-not-reached")
    assert stop.mark is Mark.STOP
    assert stop.title == "The wind keeps it from home"
    assert "battery" not in stop.remedy


def test_a_drift_that_nobody_can_know_is_no_drift_of_nothing():
    told = judged(weather=blowing(5.0), performance=attrs.evolve(ABLE, drag_area_m2=0.012))
    known = "How far wind carries it is not known: "
    assert known not in finding(told, "fall-zone").message
    assert np.isfinite(beneath_axis(told.case).drift_m).all()
    for silent, lacking in (
        (judged(weather=blowing(5.0), performance=ABLE), "no drag area is given"),
        (judged(performance=told.case.plan.aircraft.performance), "no wind is given"),
        (judged(performance=ABLE), "neither wind nor drag area is given"),
    ):
        # With a wind it is bounded (test_drift_not_known.py): beyond that nobody need look.
        end = " at the most." if silent.case.plan.weather and lacking.startswith("no drag") else "."
        said = finding(silent, "fall-zone").message.split(known)[1]
        assert said.startswith(lacking)
        assert said[len(lacking) :].split(" As a screening")[0].endswith(end)
        assert "everywhere" not in finding(silent, "fall-zone").message
        assert np.isnan(beneath_axis(silent.case).drift_m).all()


def test_a_band_that_only_a_license_opens_says_so():
    loud = attrs.evolve(VIDEO, frequency_mhz=5_865.0, power_mw=600.0)
    found = finding(judged(purpose=Purpose.RECREATIONAL, radios=(loud,)), "band-needs-license")
    assert found.mark is Mark.ACT
    assert "part 97" in found.citation
    weak = attrs.evolve(loud, power_mw=0.4)
    assert finding(judged(purpose=Purpose.RECREATIONAL, radios=(weak,)), "band-needs-license") is None
    business = judged(purpose=Purpose.PART_107, radios=(loud,))
    assert finding(business, "band-needs-license") is None
    assert finding(business, "band-not-open").mark is Mark.ACT


@pytest.mark.parametrize(("height_m", "untold"), [(None, True), (8.0, False)])
def test_a_return_over_trees_of_no_height_is_something_to_do(height_m, untold):
    around = ((150, -20), (250, -20), (250, 20), (150, 20))
    stand = BeneathItem(
        BeneathKind.TREES, DrawnAs.AREA, tuple(worlds.at(*one) for one in around), height_m=height_m
    )
    path = worlds.points([(0, 0, 40.0), (400, 0, 40.0)], LegShape.STRAIGHT)
    plan = worlds.plan(purpose=Purpose.PART_107, path=path, beneath=(stand,))
    plan = attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, link_loss=RETURN))
    found = finding(assess(plan, worlds.world()), "return-over-cover")
    assert (found is not None) is untold
    if found is not None:
        assert found.mark is Mark.ACT
        # From where it has them behind it: not before their margin begins, not after they do.
        assert 150 - 10 - 12 - 1 <= found.from_m <= 150 + 1
    stays = attrs.evolve(plan.aircraft, link_loss=LinkLoss(LinkLossAction.LAND))
    assert finding(assess(attrs.evolve(plan, aircraft=stays), worlds.world()), "return-over-cover") is None


def test_a_return_over_a_structure_of_no_height_is_something_to_do():
    mast = Structure("m", "tower", worlds.at(200.0, 0.0), None, None, horizontal_error_m=5.0)
    path = worlds.points([(0, 0, 40.0), (400, 0, 40.0)], LegShape.STRAIGHT)
    plan = worlds.plan(purpose=Purpose.PART_107, path=path)
    plan = attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, link_loss=RETURN))
    assert finding(assess(plan, worlds.world(structures=(mast,))), "return-over-cover").mark is Mark.ACT
    assert finding(assess(plan, worlds.world()), "return-over-cover") is None


def test_gusts_that_carry_it_above_87_kt_are_something_to_do():
    """14 CFR 107.51(a): 87 kt are 44.7567 m/s. 30 m/s of cruise, wind from behind at the height flown."""
    fast = Performance(cruise_mps=30.0, highest_mps=40.0)
    steady, gusty, mean = (
        judged_unstated(blowing(speed, gust), fast)
        for speed, gust in ((14.0, 14.5), (12.0, 15.0), (15.0, 15.0))
    )
    assert finding(steady, "speed-limit-in-gusts") is None
    found = finding(gusty, "speed-limit-in-gusts")
    assert (found.mark, found.basis) == (Mark.ACT, Basis.LAW)
    assert "87.5 kt" in found.message  # 45 m/s
    assert finding(gusty, "speed-limit") is None
    assert finding(mean, "speed-limit").mark is Mark.STOP
    # Gusts that can't be held are a stop of their own; the speed in them is no second one.
    torn = judged_unstated(blowing(12.0, 45.0), fast)
    assert finding(torn, "way-not-held-in-gusts").mark is Mark.STOP
    assert finding(torn, "speed-limit-in-gusts") is None
    assert finding(mean, "speed-limit-in-gusts") is None


def judged_unstated(wind, performance):
    return eastward(wind, performance, speed_mps=None)


def test_a_picture_lost_with_control_alive_is_a_case_of_its_own():
    strong = attrs.evolve(VIDEO, use=RadioUse.CONTROL, frequency_mhz=915.0, power_mw=500.0, analog=False)
    weak = attrs.evolve(VIDEO, sensitivity_dbm=-46.0)
    alive = finding(judged(radios=(weak, strong), ground=worlds.terrain()), "picture-lost-control-alive")
    assert alive.mark is Mark.ACT
    assert "control still holds" in alive.message
    alone = finding(judged(radios=(weak,), ground=worlds.terrain()), "picture-lost-control-alive")
    assert "not checked" in alone.message
    both = judged(radios=(weak, attrs.evolve(strong, sensitivity_dbm=-10.0)), ground=worlds.terrain())
    assert finding(both, "control-margin").mark is Mark.STOP
    assert finding(both, "picture-lost-control-alive") is None
    assert (
        finding(judged(radios=(VIDEO, strong), ground=worlds.terrain()), "picture-lost-control-alive") is None
    )


def test_a_return_by_itself_needs_its_charge_too():
    """By hand: 400 m at 4 m/s and 40 m down at 2 m/s take 120 s, some 6 Wh of the 9.25 that 500 mAh are."""
    small = Battery("LiPo", 5, 500.0)
    slow = attrs.evolve(RETURN, speed_mps=4.0, delay_s=0.0)
    given = {"battery": small, "performance": ABLE}
    quick = judged(link_loss=attrs.evolve(slow, speed_mps=15.0), **given)
    assert not {one.rule for one in quick.findings} & {"link-loss-empty", "link-loss-under-reserve"}
    low = finding(judged(link_loss=slow, **given), "link-loss-under-reserve")
    assert low.mark is Mark.ACT
    assert 0.0 < low.numbers["left"] < low.numbers["reserve"]
    empty = finding(judged(link_loss=attrs.evolve(slow, speed_mps=2.0), **given), "link-loss-empty")
    assert empty.mark is Mark.STOP
    assert empty.to_m == pytest.approx(400.0)
    flight = judged(link_loss=slow, **given).flight
    # The last sample, by hand: 185.3 W at 4 m/s (straight from 180 at 0 to 200 at 15), then 180 W down, all
    # of it in thinner air than that at the sea.
    spent_wh = ((180.0 + 20.0 * 4 / 15) * 400 / 4.0 + 180.0 * 40 / 2.0) / 3_600
    spent_wh /= np.sqrt(flight.charge.model.density_ratio)
    left = left_after_return(flight.loss, flight.charge.energy, (flight.charge.model, flight.charge.pack))
    assert left[-1] == pytest.approx(
        float(flight.charge.energy.charge_fraction[-1]) - spent_wh / 9.25, abs=2e-3
    )


def test_gusts_that_outrun_the_aircraft_are_one_stop_with_a_battery_and_without():
    able = attrs.evolve(ABLE, highest_mps=14.0, cruise_mps=12.0)
    weather = blowing(6.0, 16.0)  # from behind, at the height flown
    for given in ({}, {"battery": PACK}):
        answer = judged(weather=weather, performance=able, **given)
        stops = [one.rule for one in answer.findings if one.mark is Mark.STOP and "gusts" in one.rule]
        assert stops == ["way-not-held-in-gusts"]
