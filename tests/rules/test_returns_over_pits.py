"""Returns on lost link over ground that lies lower beneath them than beneath the path.

A height above ground counts from the ground beneath (49 USC 44809(a)(6), 14 CFR 107.51(b): check values 1);
that it is asked over the lowest ground that may lie there is our own rule. The second method asks every
return each 3 m (`LossWays.points`), which no rule does.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.ceiling.places import places_at
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, above_ground, box, cell, plan, points, record, terrain, volume, world

FLOWN = [(0, 0), (0, 150), (350, 150), (350, 0), (350, 150), (0, 150), (0, 0)]
"""Out along three sides and back the same way: only returns pass over what lies inside."""
MIDDLES = (55, 115, 145, 220, 310, 325)
DEEP_M = 60.0


def pit(middle_m, half_m=25.0, south_m=-60.0, north_m=60.0, **given):
    return terrain(
        lambda east, north: np.where(
            (np.abs(east - middle_m) < half_m) & (north > south_m) & (north < north_m),
            GROUND_M - DEEP_M,
            GROUND_M,
        ),
        **{"cell_m": 10.0, "cells": 181, **given},
    )


def judged(ground, return_m, delay_s=1.5, height_m=30.0, **given):
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED,
        delay_s,
        AboveLaunch(return_m),
        needs_fix=True,
        needs_compass=True,
        speed_mps=10.0,
        climb_mps=3.0,
        descent_mps=2.0,
    )
    able = Performance(cruise_mps=10.0, highest_mps=20.0, climb_mps=4.0, descent_mps=3.0)
    craft = attrs.evolve(plan().aircraft, link_loss=loss, performance=able)
    flown = plan(
        aircraft=craft,
        path=points([(*place, height_m) for place in FLOWN]),
        permissions=given.get("permissions", ()),
    )
    return assess(flown, world(terrain=ground, cells=(cell(400),), airspace=given.get("airspace", ())))


def highest_m(answer):
    """How high any return is over the lowest ground there [m], asked each 3 m of each of them."""
    loss = answer.case.flight.loss
    _, x_m, y_m, amsl_m = loss.points(3.0, np.arange(len(loss.clearance_m)))
    return float(np.nanmax(amsl_m - places_at(answer.scene, x_m, y_m).lowest_ground_amsl_m))


def rules_of(answer):
    return {one.rule for one in answer.findings}


@pytest.mark.parametrize("middle_m", MIDDLES)
def test_over_a_pit_a_return_is_above_the_height_of_a_record(middle_m):
    held = record("INVENTED CLASS-D", 50.0)
    there = volume(AirspaceKind.CLASS_D, name="INVENTED CLASS-D")
    answer = judged(pit(middle_m), 40.0, airspace=(there,), permissions=(held,))
    assert highest_m(answer) == pytest.approx(40.0 + DEEP_M, abs=0.1)
    (stop,) = [one for one in answer.findings if one.rule == "link-loss-above-ceiling"]
    assert stop.numbers["over_m"] == pytest.approx(40.0 + DEEP_M - 50.0, abs=0.1)
    level = judged(pit(middle_m, half_m=0.0), 40.0, airspace=(there,), permissions=(held,))
    assert "link-loss-above-ceiling" not in rules_of(level)


@pytest.mark.parametrize("middle_m", MIDDLES)
@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY])
def test_over_a_pit_a_return_comes_into_what_begins_so_high_above_the_ground(kind, middle_m):
    there = volume(kind, floor=above_ground(60.0), name="HIGH")
    assert "link-loss-above-ceiling" in rules_of(judged(pit(middle_m), 40.0, airspace=(there,)))
    level = judged(pit(middle_m, half_m=0.0), 40.0, airspace=(there,))
    assert "link-loss-above-ceiling" not in rules_of(level)


@pytest.mark.parametrize("middle_m", MIDDLES)
def test_over_a_pit_it_takes_a_permission_of_what_begins_so_high_and_asks_for_all_of_it(middle_m):
    there = volume(AirspaceKind.CLASS_D, floor=above_ground(60.0), name="SHELF")
    (need,) = judged(pit(middle_m), 40.0, airspace=(there,)).permissions
    assert need.asked_agl_m == pytest.approx(40.0 + DEEP_M, abs=0.1)


@pytest.mark.parametrize("middle_m", MIDDLES)
def test_what_is_asked_for_is_the_height_of_the_highest_return(middle_m):
    there = volume(AirspaceKind.CLASS_D, name="INVENTED CLASS-D")
    answer = judged(pit(middle_m), 40.0, airspace=(there,))
    (need,) = answer.permissions
    assert need.asked_agl_m == pytest.approx(highest_m(answer), abs=0.1)


@pytest.mark.parametrize("middle_m", MIDDLES[::2])
@pytest.mark.parametrize(
    ("kind", "paper"),
    [
        (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION),
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
    ],
)
def test_an_agency_or_the_authority_is_asked_for_it_as_well(kind, paper, middle_m):
    there = volume(kind, name="ASKED")
    (request,) = requests_for(judged(pit(middle_m), 40.0, airspace=(there,)))
    assert request.highest_agl_m == pytest.approx(40.0 + DEEP_M, abs=0.1)
    held = record("ASKED", request.highest_agl_m, paper, ring=request.area.ring)
    after = judged(pit(middle_m), 40.0, airspace=(there,), permissions=(held,))
    assert "link-loss-above-ceiling" not in rules_of(after)
    assert "link-loss-asks" not in rules_of(after)


@pytest.mark.parametrize("middle_m", range(40, 340, 60))
def test_beside_a_pit_within_the_error_of_the_survey_the_limit_counts_from_its_ground(middle_m):
    """The pit begins 4 m beside the outermost return; the survey may be 15 m off sideways."""
    beside = {"half_m": 20.0, "south_m": -60.0, "north_m": -4.0, "cell_m": 5.0, "cells": 361}
    answer = judged(pit(middle_m, horizontal_uncertainty_m=15.0, **beside), 110.0, 0.1)
    assert highest_m(answer) > GROUND_LIMIT_M
    assert "link-loss-above-ceiling" in rules_of(answer)
    # A record of another field changes nothing.
    other = (record("SOME OTHER FIELD", 50.0),)
    again = judged(pit(middle_m, horizontal_uncertainty_m=15.0, **beside), 110.0, 0.1, permissions=other)
    assert "link-loss-above-ceiling" in rules_of(again)
    exact = judged(pit(middle_m, **{**beside, "north_m": -8.0}), 110.0, 0.1)
    assert highest_m(exact) < GROUND_LIMIT_M
    assert "link-loss-above-ceiling" not in rules_of(exact)


@pytest.mark.parametrize("middle_m", MIDDLES[:-1])
def test_over_a_knoll_a_return_comes_into_what_ends_so_high_above_the_ground(middle_m):
    """It passes 100 m over what is closed up to 70 m above the ground, but for a knoll of 60 m."""
    knoll = terrain(
        lambda east, north: np.where(
            (np.abs(east - middle_m) < 25) & (np.abs(north) < 60), GROUND_M + DEEP_M, GROUND_M
        ),
        cell_m=10.0,
        cells=181,
    )
    west, east = middle_m - 30.0, middle_m + 30.0
    there = volume(
        AirspaceKind.RESTRICTED, box(west, 20, east, 60), floor=above_ground(0.5), top=above_ground(70.0)
    )
    assert "link-loss-above-ceiling" in rules_of(judged(knoll, 100.0, airspace=(there,)))
    level = judged(pit(middle_m, half_m=0.0), 100.0, airspace=(there,))
    assert "link-loss-above-ceiling" not in rules_of(level)


def test_of_a_long_path_each_place_is_asked_where_it_flies_on_to():
    """One corner of many lies 15 m before a cliff of 60 m, at 12 m/s and 3 s 21 m short of where it acts."""
    cliff = terrain(
        lambda east, _north: np.where(east > 205, GROUND_M - DEEP_M, GROUND_M), cell_m=10.0, cells=301
    )
    stops = [(0.0, 0.0)]
    for k in range(8):
        stops += [(-100.0 - 10 * k, -700.0), (-105.0 - 10 * k, 600.0)]
    stops += [(195.0, 20.0), (170.0, 300.0), (-200.0, 300.0), (0.0, 0.0)]
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=LinkLoss(LinkLossAction.LAND, 3.0),
        performance=Performance(cruise_mps=12.0, highest_mps=20.0, climb_mps=4.0, descent_mps=3.0),
    )
    flown = plan(aircraft=craft, path=points([(*place, 110.0) for place in stops]))
    answer = assess(flown, world(terrain=cliff))
    assert len(answer.case.track) > 1_000
    assert "link-loss-above-ceiling" in rules_of(answer)
    assert answer.verdict is Verdict.MUST_CHANGE
