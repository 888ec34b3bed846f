"""A waiver lifts its sections where the flight keeps to the outline and height on record, nowhere else.

Source: 14 CFR 107.200 (standing A: the certificate states what may be deviated from, and its limits). Lengths
of the outlines and heights are our own; that people are asked about along the path over them alone, too.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveSeaLevel
from planner.plan.aircraft import RemoteId
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import Leg, LegShape
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.flight_waivers import or_waiver, waived
from planner.rules.verdict import Verdict
from planner.rules.waiver_reach import leaves_waiver
from planner.rules.waivers import waivers
from tests import worlds
from tests.rules.hand_made import judged

FAR = worlds.area(worlds.box(40_000, 40_000, 41_000, 41_000), None).ring
ABOUT = worlds.area(worlds.box(-600, -100, 600, 100), None).ring
WEST = worlds.area(worlds.box(-600, -100, 100, 100), None).ring


def waiver(sections, ceiling=None, **changes):
    return worlds.record(sections, ceiling, PermissionKind.WAIVER, **changes)


def flight(*records, **changes):
    """The plan of one kilometre at 30 m above the ground, launched in its middle, with records."""
    return judged(worlds.plan(permissions=records, **changes))


def notes(case):
    return {one.rule: one for one in waivers(case)}


@pytest.mark.parametrize(
    ("ceiling", "ring", "lifts"),
    [
        (None, None, True),
        (None, ABOUT, True),
        (None, FAR, False),
        (None, WEST, False),
        (40.0, ABOUT, True),
        (30.0, ABOUT, True),
        (29.0, ABOUT, False),
        (5.0, None, False),
        (AboveSeaLevel(worlds.GROUND_M + 31.0), None, True),
        (AboveSeaLevel(worlds.GROUND_M + 29.0), None, False),
    ],
)
def test_a_waiver_lifts_where_all_of_the_flight_keeps_to_it(ceiling, ring, lifts):
    case = flight(waiver("14 CFR 107.31", ceiling, ring=ring))
    assert waived(case, "107.31") is lifts
    assert (or_waiver(case, "107.31") == "") is lifts
    assert ("waiver-falls-short" in notes(case)) is not lifts


def test_where_and_by_how_much_the_flight_leaves_it_is_told():
    (one,) = notes(flight(waiver("107.31", None, ring=WEST))).values()
    assert one.mark is Mark.NOTE
    # The path ends 500 m east of the middle, the outline 100 m: it leaves it 600 m along, by 400 m.
    assert one.message.startswith(
        "Record INVENTED-1 does not cover the whole place: the plan leaves it at 600 m"
    )
    assert "400 m outside it" in one.message
    (low,) = notes(flight(waiver("107.31", worlds.ft(80)))).values()
    # 30 m are 98.4 ft.
    assert low.message.startswith("The plan is 19 ft above record INVENTED-1")


def test_a_cure_names_place_and_height_of_the_waiver_in_hand():
    said = or_waiver(flight(waiver("107.31", ring=FAR, reference="W-1")), "107.31")
    assert (
        said
        == ", or fly within the time, place and height of waiver W-1, or have it extended and record that"
    )


def test_one_of_height_alone_is_told_as_other_records_are():
    assert not notes(flight(waiver("107.51(b)", 5.0, ring=FAR)))
    assert "waiver-falls-short" in notes(flight(waiver("107.51", 5.0)))
    assert "waiver-falls-short" in notes(flight(waiver("107.29(b)", 5.0)))


@pytest.mark.parametrize(
    ("section", "rule"), [("107.33", "waiver-not-counted"), ("107.36", "waiver-not-possible")]
)
def test_of_what_lifts_nothing_here_no_place_is_asked(section, rule):
    """14 CFR 107.205 (A): 107.33 can be waived and nothing here becomes lighter; 107.36 can't be."""
    assert set(notes(flight(waiver(section, 5.0, ring=FAR)))) == {rule}


@pytest.mark.parametrize("kind", [each for each in PermissionKind if each is not PermissionKind.WAIVER])
def test_of_other_records_nothing_is_said_as_of_a_waiver(kind):
    assert not notes(flight(worlds.record("D", 5.0, kind, ring=FAR)))
    assert not notes(flight(waiver("14 CFR 89.105", ring=FAR)))


def test_a_flying_area_and_the_launch_point_are_held_against_it_too():
    box = worlds.area(worlds.box(-50, -50, 50, 50), worlds.AboveGround(60.0))
    over = {"path": (), "area": box}
    assert waived(flight(waiver("107.31", 60.0, ring=ABOUT), **over), "107.31")
    assert not waived(flight(waiver("107.31", 59.0, ring=ABOUT), **over), "107.31")
    narrow = worlds.area(worlds.box(-50, -40, 50, 50), None).ring
    assert not waived(flight(waiver("107.31", 60.0, ring=narrow), **over), "107.31")
    spot = attrs.evolve(worlds.plan().launch, place=worlds.at(0, 150))
    assert not waived(flight(waiver("107.31", ring=ABOUT), launch=spot), "107.31")


@pytest.mark.parametrize(("ring", "lifts"), [(None, True), (ABOUT, True), (FAR, False)])
def test_too_fast_is_lifted_only_by_a_waiver_for_this_place(ring, lifts):
    """14 CFR 107.51(a) (standing A): 87 knots; 50 m/s are 97."""
    fast = tuple(attrs.evolve(one, leg=Leg(LegShape.STRAIGHT, 50.0)) for one in worlds.plan().path)
    papers = (waiver("107.51(a)", ring=ring),)
    found = assess(worlds.plan(path=fast, permissions=papers), worlds.world())
    assert ("speed-limit" in {one.rule for one in found.findings if one.mark is Mark.STOP}) is not lifts
    assert (found.verdict is Verdict.MUST_CHANGE) is not lifts


@pytest.mark.parametrize(
    ("east_m", "ring", "mark"),
    [(-300.0, WEST, Mark.ACT), (300.0, WEST, Mark.STOP), (-300.0, FAR, Mark.STOP), (300.0, ABOUT, Mark.ACT)],
)
def test_people_are_asked_about_along_the_path_over_them(east_m, ring, mark):
    """14 CFR 107.39 (standing A)."""
    folk = BeneathItem(BeneathKind.PEOPLE, DrawnAs.SPOT, (worlds.at(east_m),), name="folk", half_width_m=1.0)
    papers = (waiver("107.39", 40.0, ring=ring),)
    found = assess(worlds.plan(beneath=(folk,), permissions=papers), worlds.world()).findings
    (one,) = [each for each in found if each.rule == "over-people"]
    assert one.mark is mark


def test_a_height_that_is_not_known_is_not_covered():
    case = flight(waiver("107.31", 40.0))
    unknown = attrs.evolve(case.track, planned_amsl_m=np.full(len(case.track), np.nan))
    assert not waived(attrs.evolve(case, track=unknown), "107.31")


def test_an_outline_that_is_not_laid_out_covers_nothing():
    case = flight()
    papers = (waiver("107.31", ring=ABOUT),)
    assert not waived(attrs.evolve(case, plan=attrs.evolve(case.plan, permissions=papers)), "107.31")
    assert not waived(
        attrs.evolve(case, plan=attrs.evolve(case.plan, permissions=papers), mapped=None), "107.31"
    )


def test_a_record_under_part_89_for_elsewhere_lets_nothing_fly_here():
    """14 CFR 89.105, 89.115 (check values 1.29)."""
    aircraft = attrs.evolve(worlds.plan().aircraft, remote_id=RemoteId.NONE, registration="INVENTED-1")
    for ring, mark in ((None, Mark.NOTE), (ABOUT, Mark.NOTE), (FAR, Mark.STOP)):
        papers = (worlds.record("14 CFR 89.105", None, PermissionKind.AGENCY, ring=ring),)
        found = assess(worlds.plan(aircraft=aircraft, permissions=papers), worlds.world()).findings
        (one,) = [each for each in found if each.rule in ("no-remote-id", "remote-id-exempt")]
        assert one.mark is mark
        assert ("does not cover the whole place" in one.message) is (mark is Mark.STOP)


def test_one_place_above_it_is_enough_to_leave_it():
    high = worlds.points([(-500, 0, 30.0), (0, 0, 60.0), (500, 0, 30.0)])
    assert not waived(flight(waiver("107.31", 45.0), path=high), "107.31")
    assert waived(flight(waiver("107.31", 60.0), path=high), "107.31")


@pytest.mark.parametrize(
    ("from_k", "to_k", "first", "last"),
    [
        (5.0, 5.0, 5, 5),
        (5.0, 8.0, 5, 8),
        (5.5, 8.5, 5, 9),
        (5.5, 5.6, 5, 6),
        (0.0, 2.0, 0, 2),
        (0.5, 0.6, 0, 1),
    ],
)
def test_of_a_part_of_the_path_its_samples_and_those_just_beside_are_asked(from_k, to_k, first, last):
    """By hand: parts from and to samples, or between two; the outline ends between two more."""
    case = flight()
    track = case.track

    def at(k):
        return float(np.interp(k, np.arange(len(track)), track.distance_m))

    def lifts(west_k, east_k):
        ring = worlds.area(worlds.box(at(west_k) - 500.0, -100, at(east_k) - 500.0, 100), None).ring
        held = flight(waiver("107.39", None, ring=ring))
        # The outline's own edges are samples, too: the part is given along the path.
        return leaves_waiver(held, held.plan.permissions[0], [(at(from_k), at(to_k))]).record is None

    west = -1.0 if first == 0 else first - 0.4
    assert lifts(west, last + 0.4)
    assert not lifts(first + 0.2 if first == from_k else from_k + 0.01, last + 0.4)
    assert not lifts(west, last - 0.2 if last == to_k else to_k - 0.01)
