"""Structures in the way and the way that is not drawn: where each lies, and how high, is put in by hand.

That 30 m are taken where a record states no error, that a slim structure is 2 m wide, and that 1 km is too
far for a guess, is the project's own; 14 CFR 107.51(b) (standing A) is 400 ft above the ground.
"""

import math
from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.rules.obstacles import structures_in_area, structures_in_the_way
from planner.rules.stretches import place_at
from planner.rules.transit import undrawn_way
from planner.world.airspace import AirspaceKind
from planner.world.obstacles import Obstacles
from tests.rules.hand_made import complete, judged
from tests.worlds import (
    above_ground,
    area,
    at,
    box,
    plan,
    points,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)  # fmt: skip

CASE = complete()
TRACK = attrs.evolve(CASE.track, y_m=np.zeros(len(CASE.track)))
ALONG_M = TRACK.distance_m
N = len(TRACK)
GROUND_M = float(TRACK.ground_amsl_m[0])
FLOWN_M = 30.0
# 1 m of the structure's half, and half of an aircraft of 0.35 m.
TOUCH_M = 1.0 + 0.35 / 2.0


def mast(top_m=100.0, error_m=0.0, off_m=0.0, **changes):
    given = {"top_amsl_m": None if top_m is None else GROUND_M + top_m, "vertical_error_m": error_m}
    return tower(300.0, name="MAST", horizontal_error_m=off_m, **{**given, **changes})


def passing(structure, aside_m, east_m=0.0, track=TRACK, **plan_changes):
    """What is told of a mast so far aside of the path."""
    obstacles = Obstacles((structure,), np.array([east_m]), np.array([aside_m]))
    case = attrs.evolve(CASE, mapped=attrs.evolve(CASE.mapped, obstacles=obstacles), track=track)
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, **plan_changes))
    return list(structures_in_the_way(case))


# ---- met, or maybe


@pytest.mark.parametrize(
    ("structure", "aside_m", "mark"),
    [
        (mast(), TOUCH_M - 0.01, Mark.STOP),
        # No aircraft keeps its place nearer than 7 m (check value 8.4: satellites 3, holding 3, map 1).
        (mast(), TOUCH_M + 0.01, Mark.ACT),
        (mast(), TOUCH_M + 6.9, Mark.ACT),
        (mast(), TOUCH_M + 7.1, None),
        (mast(), -TOUCH_M + 0.01, Mark.STOP),
        # Its record may be off, on the map and in height.
        (mast(off_m=6.0), TOUCH_M + 12.9, Mark.ACT),
        (mast(off_m=6.0), TOUCH_M + 13.1, None),
        (mast(off_m=None), TOUCH_M + 36.9, Mark.ACT),
        (mast(off_m=None), TOUCH_M + 37.1, None),
        # Records may be off by a nautical mile and still say so (Order 8260.19J appendix C, code 8).
        (mast(off_m=1_852.0), TOUCH_M + 1_858.9, Mark.ACT),
        (mast(off_m=1_852.0), TOUCH_M + 1_859.1, None),
        (mast(None, height_agl_m=None, off_m=926.0), TOUCH_M + 925.9, Mark.UNKNOWN),
        (mast(FLOWN_M - 1.0), 0.0, None),
        (mast(FLOWN_M), 0.0, Mark.STOP),
        (mast(FLOWN_M - 5.0, error_m=5.1), 0.0, Mark.ACT),
        (mast(FLOWN_M - 5.0, error_m=4.9), 0.0, None),
        (mast(FLOWN_M - 29.0, error_m=None), 0.0, Mark.ACT),
        # Without a top above the sea its height stands on the ground there; without any nobody knows.
        (mast(None, height_agl_m=31.0), 0.0, Mark.STOP),
        (mast(None, height_agl_m=29.0), 0.0, None),
        (mast(None, height_agl_m=None), 0.0, Mark.UNKNOWN),
        (mast(None, height_agl_m=None, off_m=6.0), TOUCH_M + 5.9, Mark.UNKNOWN),
        (mast(None, height_agl_m=None, off_m=6.0), TOUCH_M + 6.1, Mark.ACT),
        (mast(None, height_agl_m=None, off_m=6.0), TOUCH_M + 13.1, None),
    ],
)
def test_what_is_met_and_what_may_be(structure, aside_m, mark):
    found = passing(structure, aside_m, 12.0)
    assert [one.mark for one in found] == ([mark] if mark else [])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(abs(aside_m))


def test_an_aircraft_of_no_size_given_is_a_point():
    assert [one.mark for one in passing(mast(), 0.99, aircraft=None)] == [Mark.STOP]
    assert [one.mark for one in passing(mast(), 1.01, aircraft=None)] == [Mark.ACT]
    assert not passing(mast(), 8.01, aircraft=None)


def test_a_height_that_is_not_known_clears_nothing():
    unknown = attrs.evolve(TRACK, planned_amsl_m=np.full(N, math.nan))
    assert [one.mark for one in passing(mast(5.0), 0.0, track=unknown)] == [Mark.STOP]


@pytest.mark.parametrize("piece", [0, 5, N - 2])
def test_what_stands_on_a_piece_of_the_path_is_met_along_all_of_it(piece):
    half_way_m = float(TRACK.x_m[piece] + TRACK.x_m[piece + 1]) / 2
    (one,) = passing(mast(), 0.5, half_way_m)
    assert (one.from_m, one.to_m) == (ALONG_M[piece], ALONG_M[piece + 1])


def test_where_it_is_nearest_is_told():
    """At sample 6 it stands 4 m aside. Samples are 10 m apart; 10 m and 7 m it may be off: 17 m."""
    east_m = float(TRACK.x_m[6])
    (one,) = passing(mast(off_m=10.0), 4.0, east_m)
    assert (one.rule, one.title) == ("structure-close", "Close to MAST")
    assert one.from_m == ALONG_M[4]
    assert one.to_m == ALONG_M[8]
    assert one.place in (place_at(TRACK, 5), place_at(TRACK, 6))
    # 4 m are 13.1 ft, rounded down, 10 m 32.8 ft and 7 m 22.97 ft, rounded up.
    assert one.message.startswith(
        "The path passes 13 ft beside it, below its top; its record may be 33 ft off, and no aircraft is "
        "where it is planned more exactly than 23 ft. Wires"
    )
    (one,) = passing(mast(off_m=None), 4.0, east_m)
    assert "may be 99 ft off (assumed: it states no accuracy), and" in one.message
    (one,) = passing(mast(), 0.5, east_m + 3.0)
    assert one.message.startswith(f"At {ALONG_M[6]:.0f} m the path leads through the place")
    assert (one.from_m, one.to_m) == (ALONG_M[6], ALONG_M[7])
    (one,) = passing(mast(None, height_agl_m=None), 0.5, east_m + 3.0)
    assert one.message.startswith(f"At {ALONG_M[6]:.0f} m the path passes its place")


@pytest.mark.parametrize("turned_deg", [0.0, 90.0, 217.0])
@pytest.mark.parametrize(("beyond_m", "told"), [(5.0, True), (14.0, True), (15.0, False)])
@pytest.mark.parametrize("end", [-1, 1])
def test_beyond_an_end_the_end_is_nearest(beyond_m, told, end, turned_deg):
    sine, cosine = math.sin(math.radians(turned_deg)), math.cos(math.radians(turned_deg))
    track = attrs.evolve(TRACK, x_m=TRACK.x_m * cosine, y_m=TRACK.x_m * sine)
    away_m = float(np.abs(TRACK.x_m[0])) + beyond_m
    found = passing(mast(off_m=6.0), end * away_m * sine, end * away_m * cosine, track)
    assert bool(found) is told
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(beyond_m, abs=1e-3)


def test_where_it_is_met_it_is_not_told_as_close_too():
    steep = attrs.evolve(TRACK, planned_amsl_m=GROUND_M + np.where(np.arange(N) < 18, 30.0, 104.0))
    found = passing(mast(100.0, error_m=9.0, off_m=900.0), 0.0, float(TRACK.x_m[6]), steep)
    assert {one.mark for one in found} == {Mark.STOP}


def test_without_a_path_nothing_is_in_the_way():
    assert not list(structures_in_the_way(attrs.evolve(CASE, track=None)))
    assert not list(structures_in_the_way(attrs.evolve(CASE, mapped=None)))


# ---- in an area


FREE = judged(plan(path=(), area=area(box(-50, -50, 50, 50), AboveGround(60.0))))


def standing(*spots, off_m=0.0):
    places = np.array([spot[1:] for spot in spots], dtype=float).reshape(-1, 2)
    obstacles = Obstacles(
        tuple(attrs.evolve(mast(off_m=off_m), name=spot[0]) for spot in spots),
        places[:, 0],
        places[:, 1],
    )
    return attrs.evolve(FREE, mapped=attrs.evolve(FREE.mapped, obstacles=obstacles))


def test_what_stands_in_an_area_is_named_and_what_stands_beside_is_not():
    """10 m beside is more than the 7 m of an aircraft's place (check value 8.4), 1 m and half its size."""
    spots = [("d", 0, 0), ("b", 40, 40), ("x", 60, 0), ("a", -40, 0), ("c", 0, -40), ("y", 0, 70)]
    (one,) = structures_in_area(standing(*spots))
    assert (one.rule, one.mark) == ("structures-in-area", Mark.ACT)
    assert one.message.startswith(
        "On record in it, or no farther beside than record and aircraft may be off, are a, b, c and 1 more. "
        "Wires"
    )
    (three,) = structures_in_area(standing(*spots[:4]))
    assert " are a, b, d. Wires" in three.message
    assert not list(structures_in_area(standing(spots[2], spots[5])))
    assert list(structures_in_area(standing(("x", 57.9, 0))))
    # Beside it by less than its record may be off: a nautical mile (Order 8260.19J appendix C, code 8).
    assert list(structures_in_area(standing(("x", 1_909.9, 0), off_m=1_852.0)))
    assert not list(structures_in_area(standing(("x", 1_910.3, 0), off_m=1_852.0)))
    for lacking in ({"mapped": None}, {"area_samples": None}, {"area": None}):
        assert not list(structures_in_area(attrs.evolve(standing(*spots), **lacking)))


# ---- the way that is not drawn


def away(launch=(0, 0), landing=None, path=((100, 0, 30.0), (200, 0, 30.0)), charts=None, **changes):
    def spot(place):
        return None if place is None else GroundSpot(at(*place), LandStatus.OWN)

    flight = plan(path=points(path), launch=spot(launch), landing=spot(landing), **changes)
    return list(undrawn_way(judged(flight, charts)))


@pytest.mark.parametrize(
    ("far_m", "mark"), [(0.5, None), (500.0, None), (999.0, None), (1_001.0, Mark.UNKNOWN)]
)
def test_a_kilometre_is_too_far_for_a_guess(far_m, mark):
    there = ((far_m, 0, 30.0), (far_m + 100, 0, 30.0))
    back = ((far_m + 100, 0, 30.0), (far_m, 0, 30.0))
    for found, words in (
        (away((0, 0), (far_m + 100, 0), there), "from the launch point to the path"),
        (away((far_m + 100, 0), (0, 0), back), "from the path to the landing point"),
    ):
        assert [one.mark for one in found] == ([mark] if mark else [])
        for one in found:
            assert one.title == f"The way {words} is not drawn"
            assert one.numbers["length_m"] == pytest.approx(far_m, abs=1)
            assert "how it is flown is anybody's guess" in one.message


def test_without_a_landing_point_the_launch_is_flown_back_to_and_from_nowhere_nothing():
    far = ((1_500, 0, 30.0), (0, 0, 30.0))
    assert len(away((0, 0), None, far)) == 1
    assert len(away((0, 0), (1_500, 0), far)) == 2
    assert len(away(None, (1_500, 0), far)) == 1
    assert not away(None, None, far)


RIDGE = world(terrain=terrain(lambda east, _north: GROUND_M + np.where(np.abs(east - 300) < 31, 40.0, 0.0)))
VALLEY = world(terrain=terrain(lambda east, _north: GROUND_M - np.where(np.abs(east - 300) < 61, 130.0, 0.0)))


@pytest.mark.parametrize(
    ("charts", "path", "why"),
    [
        # Half-way up to 30 m it is 15 m up, over ground 40 m high; up to 90 m it is 45 m up.
        (RIDGE, ((600, 0, 30.0), (700, 0, 30.0)), "meet the ground"),
        (RIDGE, ((600, 0, 90.0), (700, 0, 90.0)), None),
        (VALLEY, ((600, 0, 30.0), (700, 0, 30.0)), "higher than 400 ft"),
        (None, ((600, 0, 119.0), (700, 0, 119.0)), None),
        # What is itself as high is judged by the rules on height.
        (None, ((600, 0, 130.0), (700, 0, 130.0)), None),
    ],
)
def test_what_a_straight_way_meets_is_something_to_do(charts, path, why):
    found = away((0, 0), (700, 0), path, charts)
    assert [one.mark for one in found] == ([Mark.ACT] if why else [])
    for one in found:
        assert why in one.message


def ring(floor=None, top=None, kind=AirspaceKind.RESTRICTED, where=(250, -50, 350, 50), **changes):
    given = {"outline": box(*where), "top": top or above_ground(900.0), "name": "R-1", **changes}
    return world(airspace=(volume(kind, floor=floor or above_ground(0.0), **given),))


@pytest.mark.parametrize(
    ("charts", "told"),
    [
        (ring(), "leads through R-1."),
        (ring(name=" "), "leads through"),
        (ring(kind=AirspaceKind.PARACHUTE), None),
        (ring(where=(250, 5, 350, 50)), None),
        # 250 to 350 m of 600 m up to 30 m: it is flown at 12.5 to 17.5 m there.
        (ring(floor=above_ground(20.0)), None),
        (ring(floor=above_ground(16.0)), "leads through R-1."),
        (ring(top=above_ground(10.0)), None),
        (ring(top=above_ground(14.0)), "leads through R-1."),
        (ring(top=sea_level(GROUND_M + 10.0)), None),
        (ring(active_from_utc=plan().window.end_utc + timedelta(hours=1)), None),
        # What the path enters itself is judged there.
        (ring(where=(250, -50, 650, 50)), None),
    ],
)
def test_an_airspace_on_the_way_leaves_it_open(charts, told):
    found = away((0, 0), (700, 0), ((600, 0, 30.0), (700, 0, 30.0)), charts)
    assert [one.mark for one in found] == ([Mark.UNKNOWN] if told else [])
    for one in found:
        assert told in one.message


def test_what_needs_an_authorization_on_the_way_is_asked_for_with_the_flight():
    flight = {"path": points([(600, 0, 30.0), (700, 0, 30.0)]), "launch": GroundSpot(at(), LandStatus.OWN)}
    case = judged(
        plan(landing=GroundSpot(at(700), LandStatus.OWN), **flight), ring(kind=AirspaceKind.CLASS_D)
    )
    assert not list(undrawn_way(case))
    assert [one.recorded for one in case.needs if one.airspace == "R-1"] == [False]


@pytest.mark.parametrize(
    ("top", "mark"),
    [
        (AboveGround(30.0), None),
        (AboveLaunch(30.0), None),
        (AboveSeaLevel(GROUND_M + 30.0), None),
        # From a hill of 200 m down to an area: the top counts from the ground there, the launch or the sea.
        (AboveSeaLevel(GROUND_M - 5.0), Mark.ACT),
        (AboveLaunch(-5.0), Mark.ACT),
    ],
)
def test_the_way_to_an_area_leads_to_its_nearest_edge_at_its_top(top, mark):
    spots = {
        "launch": GroundSpot(at(0, 0), LandStatus.OWN),
        "landing": GroundSpot(at(700, 0), LandStatus.OWN),
    }
    flight = plan(path=(), area=area(box(300, -50, 400, 50), top), **spots)
    case = judged(flight)
    found = list(undrawn_way(case))
    assert {one.mark for one in found} == ({mark} if mark else set())
    for one in found:
        assert one.numbers["length_m"] == pytest.approx(300.0, abs=1)
    assert len(found) in (0, 2)


def test_the_way_to_a_far_area_is_told_from_each_spot():
    spots = {"launch": GroundSpot(at(0, 0), LandStatus.OWN), "landing": None}
    far = area(box(1_300, -50, 1_400, 50), AboveGround(30.0))
    (one,) = undrawn_way(judged(plan(path=(), area=far, **spots)))
    assert one.title == "The way to the flying area is not drawn"
    assert one.message.startswith("It is 1,300 m long") or one.message.startswith("It is 1.30 km long")
    assert (one.place.lon_deg, one.place.lat_deg) == pytest.approx((at().lon_deg, at().lat_deg), abs=1e-6)
    (one,) = undrawn_way(judged(plan(path=(), area=far, launch=None, landing=spots["launch"])))
    assert one.title == "The way from the flying area is not drawn"
    assert not list(undrawn_way(attrs.evolve(CASE, mapped=None)))


def test_a_way_is_straight_between_its_ends_wherever_they_lie():
    """From (-200, 300) to (300, -100) are 640.3 m; half-way, at (50, 100), it is 15 m up."""
    told = {"launch": (-200, 300), "landing": (700, -150), "path": ((300, -100, 30.0), (700, -100, 90.0))}
    (one,) = away(**told, charts=ring(where=(40, 90, 60, 110)))
    assert one.numbers["length_m"] == pytest.approx(math.hypot(500, 400), abs=1)
    assert not away(**told, charts=ring(where=(-60, -110, -40, -90)))
    assert not away(**told, charts=ring(where=(40, 90, 60, 110), floor=above_ground(16.5)))
    assert away(**told, charts=ring(where=(40, 90, 60, 110), floor=above_ground(14.5)))
    # Down from 90 m over 50 m to the landing point: half-way it is 45 m up.
    assert away(**told, charts=ring(where=(690, -130, 710, -120), floor=above_ground(40.0)))
    assert not away(**told, charts=ring(where=(690, -130, 710, -120), floor=above_ground(60.0)))


def test_of_a_close_stretch_its_nearest_place_is_told():
    """Samples are 10 m apart, and 67 m it may be off: from 63 m before sample 7 to 71 m behind it."""
    east_m = float(TRACK.x_m[7]) + 4.0
    (one,) = passing(mast(off_m=60.0), 4.0, east_m)
    assert (one.from_m, one.to_m) == (ALONG_M[0], ALONG_M[15])
    assert one.place == place_at(TRACK, 7)
    assert one.message.startswith("The path passes 13 ft beside it")
