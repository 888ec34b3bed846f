"""What would fix it where only the authority can say of Class E, or where the path is not flown as drawn.

Class E of a recreational flight: 49 USC 44809(a)(6), check_values 1.8 (standing B); the ceiling of 14 CFR
107.51(b); that a remedy claims nothing that the findings deny is our own rule (issue 4). Heights by hand.
"""

import attrs
import pytest

from planner.assess import assess, assess_live
from planner.geo.heights import AboveSeaLevel
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.remedy.bend import bend_path
from planner.remedy.lower import lower_path
from planner.remedy.lowest_change import lowest_change
from planner.remedy.remedy import NoRemedy, Remedy
from planner.remedy.sink import SinkLimits
from planner.rules.verdict import Verdict
from planner.saying import AS_IT_COMES, said
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    above_ground,
    at,
    box,
    cell,
    cliff,
    disc,
    ft,
    plan,
    points,
    sea_level,
    terrain,
    volume,
    world,
)

LIMITS = SinkLimits(5.0, 5.0, 0.2)
FLOOR = sea_level(GROUND_M + ft(200))
HIGH_E = volume(AirspaceKind.CLASS_E_OTHER, floor=FLOOR, name="HIGH E")
IN_IT = points([(-100, 0, ft(250)), (100, 0, ft(250))])
ENDS = {"launch": GroundSpot(at(-100), LandStatus.OWN), "landing": GroundSpot(at(100), LandStatus.OWN)}


def in_class_e(volume_=HIGH_E, purpose=Purpose.RECREATIONAL, path=IN_IT):
    return assess_live(plan(purpose, path=path, **ENDS), world(airspace=(volume_,)))


@pytest.mark.parametrize(
    "cure", [lambda found: lower_path(found, 5.0), lambda found: lowest_change(found, LIMITS, 5.0)]
)
def test_a_path_in_class_e_is_lowered_under_its_floor(cure):
    found = in_class_e()
    remedy = cure(found)
    assert isinstance(remedy, Remedy)
    after = remedy.edit.apply(found.plan)
    # 200 ft less 5 m of room: 55.96 m above ground, rounded down.
    assert [point.height.m for point in after.path] == pytest.approx([55.9, 55.9], abs=0.1)
    whole = assess(after, world(airspace=(HIGH_E,)))
    assert whole.verdict is Verdict.READY


def test_what_is_under_the_floor_needs_no_change():
    found = in_class_e(path=points([(-100, 0, ft(100)), (100, 0, ft(100))]))
    assert "neither the ceiling nor airspace asks for a change" in lowest_change(found, LIMITS, 5.0).reason
    assert "under the ceiling already" in lower_path(found, 5.0).reason


def test_where_it_begins_at_the_ground_nothing_is_called_under_the_ceiling():
    e4 = volume(AirspaceKind.CLASS_E4, name="FIELD E4")
    found = in_class_e(e4, Purpose.PART_107)
    none = lower_path(found, 5.0)
    assert isinstance(none, NoRemedy)
    assert "only the authority can say" in none.reason
    assert isinstance(lowest_change(found, LIMITS, 5.0), NoRemedy)
    assert "ask for no change" not in lowest_change(found, LIMITS, 5.0).reason


def test_a_path_is_bent_round_what_only_the_authority_can_open():
    e4 = volume(AirspaceKind.CLASS_E4, box(-100, -50, 100, 50), above_ground(0.0), name="FIELD E4")
    found = in_class_e(e4, Purpose.PART_107, points([(-500, 0, 30.0), (500, 0, 30.0)]))
    remedy = bend_path(found, 30.0)
    assert isinstance(remedy, Remedy)
    after = assess_live(remedy.edit.apply(found.plan), world(airspace=(e4,)))
    assert "class-e-extension" not in {one.rule for one in after.findings}


@pytest.mark.parametrize("rates", [None, Performance(climb_mps=4.0, descent_mps=3.0)])
def test_what_is_not_flown_as_drawn_is_not_called_lawful(rates):
    """92 m above ground over a cliff of 88 m: past its edge it is 180 m up, and 121.9 are allowed."""
    path = tuple(
        PathPoint(at(x_m), points([(0, 0, 92.0)])[0].height, Leg(LegShape.FOLLOW_GROUND, speed_mps=15.0))
        for x_m in (-400, 600)
    )
    base = plan(path=path)
    flight = attrs.evolve(base, aircraft=attrs.evolve(base.aircraft, performance=rates))
    found = assess_live(flight, world(terrain=terrain(cliff(88), cell_m=10.0, cells=301)))
    assert "ground-falls-too-fast" in {one.rule for one in found.findings}
    for none in (lower_path(found, 5.0), lowest_change(found, LIMITS, 5.0)):
        assert isinstance(none, NoRemedy)
        assert none.reason.startswith("the path is not flown as it is drawn: ")
        assert "draw points that begin to sink" in none.reason


def test_of_a_path_in_the_ground_it_is_not_said_that_height_asks_for_no_change():
    """14 m under flat ground all the way, by hand; no remedy raises a path, so that is told."""
    under = AboveSeaLevel(GROUND_M - 14.0)
    found = assess_live(plan(path=points([(-500, 0, under), (500, 0, under)])), world())
    assert "into-ground" in {one.rule for one in found.findings}
    none = lowest_change(found, LIMITS, 5.0)
    assert isinstance(none, NoRemedy)
    assert none.reason.startswith("0 m to 1,000 m it runs into the ground")
    assert "raise the path there" in none.reason


# 14 CFR 107.41 and 49 USC 44809(a)(5): above a map value the way is another one, and nothing is closed.
def above_the_map_value(purpose, height_ft, path=((-100, 0), (100, 0))):
    charts = world(airspace=(volume(outline=disc(1_000.0)),), cells=(cell(200, disc(1_000.0)),))
    launch, landing = (GroundSpot(at(*offset), LandStatus.OWN) for offset in (path[0], path[-1]))
    flown = points([(*offset, ft(height_ft)) for offset in path])
    return assess_live(plan(purpose, path=flown, launch=launch, landing=landing), charts)


def test_what_is_only_to_be_asked_for_is_not_said_to_need_other_points():
    none = lowest_change(above_the_map_value(Purpose.PART_107, 247), LIMITS, 5.0)
    assert isinstance(none, NoRemedy)
    assert "a permission is to be asked for all the same (further coordination request)" in none.reason
    assert said(none.reason, AS_IT_COMES).endswith(
        "up to 200 ft above ground the automated service can give it"
    )
    none = lowest_change(above_the_map_value(Purpose.RECREATIONAL, 100), LIMITS, 5.0)
    assert none.reason.endswith("to be asked for all the same (automated request)")


@pytest.mark.parametrize(("purpose", "given_ft"), [(Purpose.RECREATIONAL, 200), (Purpose.PART_107, 400)])
def test_above_what_can_be_given_it_is_lowered_to_that(purpose, given_ft):
    remedy = lowest_change(above_the_map_value(purpose, given_ft + 50), LIMITS, 5.0)
    assert isinstance(remedy, Remedy)
    assert remedy.before.room_if_asked_m == pytest.approx(ft(-50), abs=0.01)
    assert remedy.after.room_if_asked_m == pytest.approx(5.0, abs=0.1)


def test_where_there_is_a_way_round_what_is_to_be_asked_for_that_is_offered():
    remedy = lowest_change(
        above_the_map_value(Purpose.PART_107, 247, ((-1_500, 900), (1_500, 900))), LIMITS, 50.0
    )
    assert remedy.title.startswith("Bend path")
    assert not remedy.after.in_unpermitted
