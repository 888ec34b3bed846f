"""How near a flight stays to where the record ends that opens its airspace; distances by hand.

8 m: a satellite fix (GPS SPS Performance Standard 2020, from memory); 20 m: own choice. That the inside of a
record's edge is no more exact than the outside of an airspace is our own rule.
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules import beside_record
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, plan, points, record, volume, world

R, D, E4 = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4
AROUND = {
    "path": points([(-100, 0, 30.0), (100, 0, 30.0)]),
    "launch": GroundSpot(at(-100, 0), LandStatus.OWN),
    "landing": GroundSpot(at(100, 0), LandStatus.OWN),
}
ALONE = {
    **AROUND,
    "path": (),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(), LandStatus.OWN),
}


def ring(north_m, west_m=-300.0, east_m=300.0):
    return area(box(west_m, -300, east_m, north_m), None).ring


def told(kind, *rings, limits=None, **changes):
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    held = tuple(record("V", 60.0, names, ring=one, reference=f"INVENTED-{k}") for k, one in enumerate(rings))
    shut = volume(kind, box(-800, -800, 800, 800), name="V", **(limits or {}))
    answer = assess_live(
        plan(Purpose.PART_107, permissions=held, **{**AROUND, **changes}), world(airspace=(shut,))
    )
    return [one for one in answer.findings if one.rule == "close-to-record-end"]


@pytest.mark.parametrize(
    ("kind", "inside_m", "mark"),
    [
        (R, 0.3, Mark.UNKNOWN),
        (R, 7.5, Mark.UNKNOWN),
        (R, 8.5, Mark.ACT),
        (D, 0.3, Mark.ACT),
        (E4, 0.3, Mark.ACT),
        (D, 19.5, Mark.ACT),
        (R, 20.5, None),
    ],
)
def test_a_path_that_stays_so_far_inside_its_record(kind, inside_m, mark):
    found = told(kind, ring(inside_m))
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(inside_m, abs=0.05)
        assert "inside what INVENTED-0 opens of V" in one.message


def test_where_it_leaves_the_record_that_is_told_instead():
    assert not told(R, ring(-0.5))


def test_two_records_that_go_on_from_one_another_end_only_where_both_do():
    assert not told(R, ring(300.0, -300.0, 0.0), ring(300.0, -10.0, 300.0))
    assert told(R, ring(5.0, -300.0, 0.0), ring(300.0, -10.0, 300.0))


def test_a_record_for_all_of_an_airspace_has_no_end_in_it():
    assert not told(R, None)
    # Nor where another record ends within it.
    assert not told(R, ring(5.0), None)
    beyond = area(box(-900, -900, 900, 900), None).ring
    assert not told(R, beyond)


@pytest.mark.parametrize(("floor_m", "number"), [(20.0, 1), (40.0, 0)])
def test_beside_what_begins_higher_nothing_is_told(floor_m, number):
    limits = {"floor": above_ground(floor_m)}
    assert len(told(R, ring(5.0), limits=limits)) == number


def test_an_area_and_an_undrawn_way_stay_inside_as_a_path_does():
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    (one,) = told(R, ring(55.0), area=drawn, **ALONE)
    assert one.message.startswith("The flying area is 16 ft inside")  # 5 m are 16.4 ft, rounded down
    far = GroundSpot(at(-100, 290), LandStatus.OWN)
    (one,) = told(R, ring(300.0), launch=far)
    assert "from the launch point to the path" in one.message
    assert one.numbers["aside_m"] == pytest.approx(10.0, abs=0.05)


def test_of_several_parts_of_a_flight_the_nearest_is_told_at_its_own_edge(monkeypatch):
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    near = GroundSpot(at(0, 53), LandStatus.OWN)
    (one,) = told(R, ring(55.0), area=drawn, **{**ALONE, "launch": near})
    assert one.numbers["aside_m"] == pytest.approx(2.0, abs=0.05)
    # One sample of an area that reaches the airspace's heights is enough.
    monkeypatch.setattr(beside_record, "level", lambda _volume, samples: np.arange(len(samples.x_m)) == 0)
    (one,) = told(R, ring(55.0), area=drawn, **ALONE)
    assert one.place.lat_deg == pytest.approx(at(0, 50).lat_deg, abs=1e-7)
