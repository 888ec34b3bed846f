"""Who is beneath, fallen on or near, where things, crossings and the fall are put in by hand.

Law: 14 CFR 107.39, 107.110 to 107.145 (standing A) as in `test_beneath_rules`; a screening of 11 ft lbf and
the 1:1 rule are guidance. What a crossing or a stay is, and what is told together, is the project's own.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.flight.beneath import NOTHING, Underneath
from planner.flight.crossings import Crossing
from planner.flight.fall_zone import FallZone
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.beneath import beneath, cover, fall
from planner.rules.finding import Basis, Mark
from planner.rules.stretches import place_at
from planner.saying import Units, said
from tests.rules.hand_flown import complete, flown, row
from tests.worlds import at as place
from tests.worlds import record

CASE = complete()
TRACK = CASE.track
ALONG_M = TRACK.distance_m
N = len(TRACK)
SPOT = shapely.Point(0, 0)


def drawn(below, name="", kind=BeneathKind.PEOPLE, **changes):
    return Thing(below, name, SPOT, None, BeneathItem(kind, DrawnAs.SPOT, (place(),), name, **changes))


def charted(below, name=""):
    return Thing(below, name, SPOT)


PEOPLE, ROAD = drawn(Below.PEOPLE, "Jo"), charted(Below.ROAD, "A1")


def over(thing, from_m, to_m, angle=None, overhead=True):
    return Crossing(thing, from_m, to_m, angle, overhead)


def under(things=(), crossings=(), apart=None, terminal=None, **zone):
    given = {"height_m": row(30.0), "reach_m": row(20.0), "drift_m": row(0.0), "grown_m": 0.1}
    given |= {"places": np.zeros((N, 1, 2)), "coming": np.zeros((N, 1, 2)), "owner": np.zeros(N, int)}
    fall_zone = FallZone(**{**given, "one_to_one_enough": row(1) > 0, **zone})
    nothing = np.full(N, NOTHING)
    away = {k: (apart or {}).get(k, row(9_000.0)) for k in range(len(things))}
    under = Underneath(tuple(things), fall_zone, tuple(crossings), nothing, nothing, away, terminal)
    return attrs.evolve(under, hardest_mps=terminal)


def case(things=(), crossings=(), apart=None, aircraft=None, plan=None, weather=None, **zone):
    made = under(things, crossings, apart, **zone)
    base = flown(aircraft, beneath=made, weather=attrs.evolve(CASE.flight.weather, **(weather or {})))
    return attrs.evolve(base, plan=attrs.evolve(base.plan, **(plan or {})))


# ---- over people


def test_people_who_are_overflown_are_told_with_all_their_crossings():
    given = case((PEOPLE,), (over(0, 100.0, 140.0), over(0, 300.0, 330.4, 47.6)), {0: row(50.0, {9: 0.0})})
    (one,) = beneath(given)
    assert (one.rule, one.mark, one.basis, one.title) == ("over-people", Mark.STOP, Basis.LAW, "Over people")
    assert one.message.startswith("Jo 100 m to 140 m; 300 m to 330 m at 48 degrees. Only who takes part")
    assert (one.from_m, one.to_m) == (100.0, 140.0)
    assert one.place == place_at(TRACK, int(np.searchsorted(ALONG_M, 100.0)))
    assert one.numbers == {"apart_m": 0.0}


@pytest.mark.parametrize(
    ("crossings", "sustained"),
    [
        ((over(0, 100.0, 200.0),), False),
        # More than one pass, or more than 100 m, counts as sustained (own choice).
        ((over(0, 100.0, 200.1),), True),
        ((over(0, 100.0, 110.0), over(0, 300.0, 310.0)), True),
        ((over(0, 100.0, 200.0), over(0, 300.0, 310.0, overhead=False)), False),
    ],
)
def test_what_counts_as_sustained_over_people(crossings, sustained):
    """14 CFR 107.125: Category 3 not sustained outside a closed site."""
    given = case((PEOPLE,), crossings, {0: row(0.0)}, {"over_people": OverPeople.CATEGORY_3})
    (one,) = beneath(given)
    assert one.mark is (Mark.STOP if sustained else Mark.ACT)
    closed = drawn(Below.PEOPLE, "Jo", closed_site=True)
    (one,) = beneath(case((closed,), crossings, {0: row(0.0)}, {"over_people": OverPeople.CATEGORY_3}))
    assert one.mark is Mark.ACT


def test_what_the_aircraft_is_counts_over_an_assembly():
    """14 CFR 107.115, 107.140: sustained over an open-air assembly only with Remote ID."""
    crowd = drawn(Below.ASSEMBLY, "crowd")
    for remote_id, mark in ((RemoteId.STANDARD, Mark.ACT), (RemoteId.NONE, Mark.STOP), (None, Mark.STOP)):
        craft = {"over_people": OverPeople.CATEGORY_2, "remote_id": remote_id}
        (one,) = beneath(case((crowd,), (over(0, 100.0, 300.0),), {0: row(0.0)}, craft))
        assert one.mark is mark
    bare = case((crowd,), (over(0, 100.0, 300.0),), {0: row(0.0)})
    (one,) = beneath(attrs.evolve(bare, plan=attrs.evolve(bare.plan, aircraft=None)))
    assert "no category is stated" in one.message


@pytest.mark.parametrize(
    ("below", "waived", "mark"),
    [
        (Below.PEOPLE, ("107.39",), Mark.ACT),
        (Below.PEOPLE, ("107.145",), Mark.STOP),
        # People in vehicles are people, too: both are wanted (own reading, the stricter one).
        (Below.VEHICLES, ("107.145",), Mark.STOP),
        (Below.VEHICLES, ("107.39",), Mark.STOP),
        (Below.VEHICLES, ("107.39", "107.145"), Mark.ACT),
    ],
)
def test_a_waiver_lifts_what_it_names(below, waived, mark):
    records = tuple(record(f"14 CFR {one}", None, PermissionKind.WAIVER) for one in waived)
    given = case((drawn(below, "x"),), (over(0, 100.0, 110.0),), {0: row(0.0)}, plan={"permissions": records})
    (one,) = beneath(given)
    assert one.mark is mark
    assert ("A waiver on record lifts that." in one.message) is (mark is Mark.ACT)


# ---- near people


@pytest.mark.parametrize(("apart_m", "lacking"), [(30.0, False), (29.9, True), (math.nan, False)])
def test_people_nearer_than_the_height_are_a_stop(apart_m, lacking):
    found = list(beneath(case((PEOPLE,), apart={0: row(9_000.0, {7: apart_m})})))
    assert bool(found) is lacking
    for one in found:
        assert (one.rule, one.mark, one.basis) == ("people-near", Mark.STOP, Basis.SAFETY)
        assert (one.from_m, one.to_m, one.place) == (ALONG_M[7], ALONG_M[7], place_at(TRACK, 7))
        assert one.numbers == {"apart_m": apart_m}
        # 29.9 m are 98.1 ft, 30 m 98.4 ft.
        assert one.message.startswith("Jo: 98 ft away from 98 ft up: nearer than a failing aircraft")
        assert one.remedy == "keep 99 ft away, fly lower there, or set your own distance"
        assert "At this speed" not in one.message


def test_what_is_not_known_of_one_place_hides_nothing_of_another():
    unknown = {"height_m": row(30.0, {8: math.nan}), "reach_m": row(20.0, {8: math.nan})}
    (one,) = beneath(case((PEOPLE,), apart={0: row(9_000.0, {7: 29.9})}, **unknown))
    assert (one.rule, one.place) == ("people-near", place_at(TRACK, 7))


def test_the_lack_is_worst_where_the_fall_reaches_farthest_not_where_they_are_nearest():
    reach = row(20.0, {9: 200.0})
    apart = {0: row(9_000.0, {7: 25.0, 9: 100.0})}
    (one,) = beneath(case((PEOPLE,), apart=apart, reach_m=reach, one_to_one_enough=row(1, {9: 0}) > 0))
    assert one.place == place_at(TRACK, 9)
    # 200 m are 656.2 ft.
    assert "At this speed the height is not enough: the fall reaches 656 ft." in one.message
    assert one.remedy.startswith("keep 657 ft away, ")
    drifted = list(beneath(case((PEOPLE,), apart={0: row(9_000.0, {7: 40.0})}, drift_m=row(41.0))))
    assert [one.rule for one in drifted] == ["people-near"]


def test_who_is_fallen_on_is_a_stop_unless_the_own_distance_is_kept():
    beside = (over(0, 100.0, 140.0, overhead=False),)
    given = {"reach_m": row(20.0, {3: 60.0}), "drift_m": row(0.0, {4: 45.0})}
    apart = {0: row(900.0, {9: 12.0})}
    (stop,) = beneath(case((PEOPLE,), beside, apart, **given))
    assert (stop.rule, stop.mark, stop.title) == (
        "fall-on-people", Mark.STOP, "A failed aircraft falls on somebody"
    )  # fmt: skip
    # 12 m are 39.4 ft, 60 m 196.9 ft, 45 m 147.6 ft; kept away are 60 m, 197 ft.
    assert "The path passes 39 ft beside" in stop.message
    assert "its fall reaches 197 ft ahead, wind carries it 148 ft." in stop.message
    assert stop.remedy.startswith("keep 197 ft away")
    assert stop.numbers == {"apart_m": 12.0}
    for own_m, marks in ((12.0, [Mark.ACT]), (11.0, [Mark.ACT]), (12.1, [Mark.STOP, Mark.STOP])):
        found = list(beneath(case((PEOPLE,), beside, apart, plan={"own_people_distance_m": own_m})))
        assert [one.mark for one in found] == marks
        assert ("Your own distance is kept." in found[-1].message) is (marks == [Mark.ACT])
        assert "wind carries" not in found[-1].message


def test_nearer_than_the_pilot_wants_is_a_stop_of_its_own():
    apart = {0: row(900.0, {9: 49.0})}
    for own_m, tells in ((49.0, False), (49.1, True), (None, False)):
        found = list(beneath(case((PEOPLE,), apart=apart, plan={"own_people_distance_m": own_m})))
        assert [one.rule for one in found] == (["own-distance"] if tells else [])
        for one in found:
            assert (one.mark, one.basis, one.citation) == (Mark.STOP, Basis.OWN_LIMIT, "")
            # 49 m are 160.8 ft, 49.1 m 161.1 ft.
            assert one.message == "Jo: 160 ft away; you want 162 ft."
            assert one.place == place_at(TRACK, 9)
    both = list(
        beneath(case((PEOPLE,), (over(0, 100.0, 110.0),), {0: row(0.0)}, plan={"own_people_distance_m": 5.0}))
    )
    assert [one.rule for one in both] == ["over-people", "own-distance"]


# ---- places and what charts show


def test_what_charts_show_of_a_kind_is_told_together_in_the_order_of_the_path():
    roads = tuple(charted(Below.ROAD, name) for name in ("B", "A", "A", "C", "D", "E"))
    spots = [(300.0, 310.0), (100.0, 100.5), (200.0, 210.0), (400.0, 401.0), (500.0, 510.0), (600.0, 610.0)]
    crossings = tuple(over(k, *ends, 90.0) for k, ends in enumerate(spots))
    (one,) = beneath(case((*roads, PEOPLE), crossings))
    assert (one.rule, one.mark, one.title) == ("over-road", Mark.ACT, "Over a road")
    assert one.message.startswith(
        "A at 100 m at 90 degrees; 200 m to 210 m at 90 degrees; B 300 m to 310 m at 90 degrees; "
        "C 400 m to 401 m at 90 degrees; D 500 m to 510 m at 90 degrees and 1 more. Nobody has said"
    )
    assert (one.from_m, one.to_m) == (100.0, 100.5)
    five = list(beneath(case(roads[:5], crossings[:5])))
    assert "more." not in five[0].message


def test_what_the_pilot_drew_is_told_one_by_one_and_people_always():
    mine = tuple(drawn(Below.ROAD, name, BeneathKind.ROAD) for name in ("x", "y"))
    crossings = tuple(over(k, 100.0 * (k + 1), 100.0 * (k + 1) + 10) for k in range(2))
    assert len(list(beneath(case(mine, crossings)))) == 2
    shown = tuple(charted(Below.PEOPLE, name) for name in ("x", "y"))
    assert len(list(beneath(case(shown, crossings, {0: row(0.0), 1: row(0.0)})))) == 2
    other = (charted(Below.ROAD, "x"), charted(Below.WATER, "y"))
    assert [one.rule for one in beneath(case(other, crossings))] == ["over-road", "over-water"]


@pytest.mark.parametrize(
    ("below", "mark"),
    [
        (Below.ROAD, Mark.ACT), (Below.TRAIL, Mark.ACT), (Below.GATHERING_PLACE, Mark.ACT),
        (Below.WIRE, Mark.ACT), (Below.UNDER_COVER, Mark.NOTE), (Below.BUILDING, Mark.NOTE),
        (Below.WATER, Mark.NOTE), (Below.CREW, None), (Below.QUIET_ROAD, None), (Below.RUNWAY, None),
        (Below.TREES, None),
    ],
)  # fmt: skip
def test_what_is_nobody_is_told_where_it_is_passed_over(below, mark):
    found = list(beneath(case((drawn(below, "x"),), (over(0, 100.0, 110.0),))))
    assert [one.mark for one in found] == ([mark] if mark else [])
    assert not list(beneath(case((drawn(below, "x"),), (over(0, 100.0, 110.0, overhead=False),))))


def test_an_angle_is_told_only_of_what_is_passed_over():
    (one,) = beneath(case((PEOPLE,), (over(0, 100.0, 110.0, 30.0, overhead=False),), {0: row(5.0)}))
    assert one.message.startswith("Jo 100 m to 110 m. The path passes")


def test_beyond_the_end_of_the_path_its_last_place_is_told():
    (one,) = beneath(case((ROAD,), (over(0, float(ALONG_M[-1]) + 5.0, float(ALONG_M[-1]) + 9.0),)))
    assert one.place == place_at(TRACK, N - 1)


# ---- into trees


def wood(height_m):
    return drawn(Below.TREES, "wood", BeneathKind.TREES, height_m=height_m)


def covered(height_m, agl, crossing=None, below=None):
    thing = wood(height_m) if below is None else below
    crossing = crossing or over(0, float(ALONG_M[5]), float(ALONG_M[7]))
    base = case((thing,), (crossing,))
    track = attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + agl)
    return list(cover(attrs.evolve(base, track=track)))


def test_a_path_into_trees_is_a_stop_at_its_lowest_there():
    """19 m are 62.3 ft, 25 m 82.0 ft."""
    (one,) = covered(25.0, row(30.0, {6: 19.0, 4: 1.0, 8: 1.0}))
    assert (one.rule, one.mark, one.title) == ("into-cover", Mark.STOP, "The path leads into wood")
    assert one.message.endswith(": 62 ft up at the lowest, drawn as 82 ft high.")
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[7], place_at(TRACK, 5))
    assert not covered(19.0, row(30.0, {6: 19.0}))
    assert covered(19.1, row(30.0, {6: 19.0}))
    # Between two samples the height there counts.
    middle = float(ALONG_M[5] + ALONG_M[6]) / 2.0
    between = over(0, middle, middle + 0.5)
    assert covered(25.0, row(30.0, {6: 18.0}), between)
    assert not covered(23.0, row(30.0, {6: 18.0}), between)


def test_trees_of_no_height_are_something_to_do():
    (one,) = covered(None, row(30.0))
    assert (one.rule, one.mark) == ("cover-without-height", Mark.ACT)
    assert one.message.endswith(": 98 ft up at the lowest.")
    assert covered(None, row(30.0), below=drawn(Below.BUILDING, "barn"))[0].title.startswith(
        "How high barn is"
    )
    assert not covered(None, row(30.0), below=charted(Below.TREES))
    assert not covered(None, row(30.0), below=drawn(Below.PEOPLE))
    assert not covered(None, row(30.0), over(0, 100.0, 200.0, overhead=False))
    base = case((wood(None),), (over(0, 100.0, 200.0),))
    for lacking in ({"flight": None}, {"track": None}, {"flight": attrs.evolve(base.flight, beneath=None)}):
        assert not list(cover(attrs.evolve(base, **lacking)))


# ---- the fall


def falling(wind=True, terminal=None, kg=1.0, speed=None, **zone):
    weather = {} if wind else {"wind": None}
    base = case(aircraft={"take_off_weight_kg": kg}, weather=weather, terminal=terminal, **zone)
    motion = attrs.evolve(base.flight.motion, ground_speed_mps=row(10.0) if speed is None else speed)
    found = list(fall(attrs.evolve(base, flight=attrs.evolve(base.flight, motion=motion))))
    return found[0] if found else None


def test_where_and_how_far_it_falls_is_told_at_its_farthest():
    zone = {"reach_m": row(20.0, {4: 50.0, 6: math.nan}), "height_m": row(30.0, {4: 33.0})}
    one = falling(terminal=20.0, **zone)
    assert (one.rule, one.mark, one.place) == ("fall-zone", Mark.NOTE, place_at(TRACK, 4))
    # 50 m are 164.04 ft, 33 m 108.3 ft, 60 m 196.9 ft: rounded up.
    assert one.title == "A failed aircraft falls up to 165 ft ahead"
    assert one.message.startswith(
        f"Farthest from {ALONG_M[4]:.0f} m, 109 ft up, without drag. As much distance"
    )
    assert one.numbers == {"reach_m": 50.0, "height_m": 33.0}
    drifts = falling(terminal=20.0, **zone, drift_m=row(0.0, {9: 60.0}))
    assert drifts.place == place_at(TRACK, 9)
    assert ", and 197 ft with the wind, without drag." in drifts.message
    assert "2 ft with the wind" in falling(terminal=20.0, drift_m=row(0.5)).message
    assert falling(reach_m=row(math.nan)) is None


@pytest.mark.parametrize(
    ("wind", "terminal", "where", "lacking"),
    [
        (True, 20.0, "everywhere", ""),
        (False, 20.0, "ahead", "How far wind carries it is not known: no wind is given."),
        (True, None, "ahead", "How far wind carries it is not known: no drag area is given."),
        (False, None, "ahead", "How far wind carries it is not known: neither wind nor drag area is given."),
    ],
)
def test_what_is_not_known_of_the_drift_is_said(wind, terminal, where, lacking):
    one = falling(wind, terminal)
    assert f"(the 1:1 rule) is enough {where}." in one.message
    assert lacking in one.message
    assert ("not known" in one.message) is bool(lacking)


def test_where_the_height_is_not_distance_enough_is_told_by_its_length():
    fast = row(1, {4: 0, 5: 0, N - 1: 0}) > 0
    length_m = float(ALONG_M[6] - ALONG_M[4])
    one = falling(terminal=20.0, one_to_one_enough=fast)
    assert f"is not enough on {length_m:.0f} m of the path: it is flown too fast for that." in one.message
    unknown = falling(terminal=20.0, one_to_one_enough=fast, reach_m=row(20.0, {4: math.nan, 5: math.nan}))
    assert "is enough everywhere" in unknown.message


def test_how_hard_it_hits_is_a_screening_with_nothing_lost_on_the_way():
    """E = m (v^2 + 2 g h) / 2; 1 ft lbf is 1.3558179483 J; 11 ft lbf of 1 kg are a drop of 1.52 m, 5 ft."""

    def feet_lbf(joule):
        return f"up to {joule / 1.3558179483:,.0f} ft lbf; a drop of 5 ft gives 11 ft lbf."

    g = 9.80665
    assert feet_lbf(0.5 * (10.0**2 + 2 * g * 30.0)) in falling().message
    fast = row(10.0, {3: 20.0, 4: math.nan})
    assert feet_lbf(0.5 * (20.0**2 + 2 * g * 30.0)) in falling(speed=fast).message
    high = row(30.0, {5: 90.0, 6: math.nan})
    assert feet_lbf(0.5 * (10.0**2 + 2 * g * 90.0)) in falling(height_m=high).message
    assert "a drop of 2 m gives 15 J (11 ft lbf)." in said(falling().message, Units(height="m"))  # 14.9 J
    # Of 100 g they are a drop of 15.2 m, 49.9 ft.
    assert "a drop of 50 ft gives 11 ft lbf." in falling(kg=0.1).message
    bare = case()
    (told,) = fall(attrs.evolve(bare, plan=attrs.evolve(bare.plan, aircraft=None)))
    assert "ft lbf" not in told.message
    # Drag holds it to its terminal speed, or to what it flew at.
    assert feet_lbf(0.5 * 15.0**2) in falling(terminal=15.0).message
    assert feet_lbf(0.5 * 20.0**2) in falling(terminal=15.0, speed=fast).message
    assert feet_lbf(0.5 * (10.0**2 + 2 * g * 30.0)) in falling(terminal=99.0).message


# ---- the law, in words


def test_without_a_purpose_both_laws_are_cited_and_a_subject_is_told_why():
    (one,) = beneath(case((PEOPLE,), (over(0, 100.0, 110.0),), {0: row(0.0)}, plan={"purpose": None}))
    assert "14 CFR 107.39" in one.citation
    assert "49 USC 44809" in one.citation
    (one,) = beneath(case((PEOPLE,), (over(0, 100.0, 110.0),), {0: row(0.0)}))
    assert "49 USC" not in one.citation
    for below, told in ((Below.SUBJECT, True), (Below.PEOPLE, False)):
        fun = {"purpose": Purpose.RECREATIONAL}
        (one,) = beneath(case((drawn(below, "x"),), (over(0, 100.0, 110.0),), {0: row(0.0)}, plan=fun))
        assert ("That they agree changes nothing of the fall." in one.message) is told
        assert (one.mark, one.basis) == (Mark.STOP, Basis.SAFETY)


def test_an_eligible_category_is_named():
    craft = {"over_people": OverPeople.CATEGORY_2}
    (one,) = beneath(case((PEOPLE,), (over(0, 100.0, 110.0),), {0: row(0.0)}, craft))
    assert "Category 2 may fly over people, if it is declared" in one.message
