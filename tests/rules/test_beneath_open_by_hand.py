"""What leaves open whether somebody beneath is fallen on, and what a category makes of it: put in by hand.

Law: 14 CFR 107.110 to 107.145, no category for recreation (standing A) as in `test_beneath_rules`. That what
nobody said leaves the answer open, what counts as kept and what is told together is the project's own.
"""

import attrs
import pytest

from planner.flight.below import Below
from planner.plan.aircraft import OverPeople
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.rules.beneath import beneath, cover, spectators_placed
from planner.rules.beneath_law import Ruling
from planner.rules.declared_over import by_category, declared, declared_over
from planner.rules.finding import Basis, Finding, Mark
from tests.rules.hand_flown import complete, row
from tests.rules.test_beneath_by_hand import PEOPLE, TRACK, case, charted, drawn, over
from tests.worlds import at as place

APART_M = 45.0
NEAR_M = 12.0
SPANS = (over(0, 100.0, 140.0, overhead=False),)
CATEGORY_3 = {"over_people": OverPeople.CATEGORY_3}


def open_case(own_m=None, aircraft=None, apart_m=APART_M, **unsaid):
    """Somebody beside a path 30 m up: 1:1 is kept at 45 m, and is not at 12 m."""
    apart = {0: row(900.0, {9: apart_m})}
    base = case((PEOPLE,), apart=apart, aircraft=aircraft, plan={"own_people_distance_m": own_m})
    under = attrs.evolve(base.flight.beneath, **unsaid)
    return attrs.evolve(base, flight=attrs.evolve(base.flight, beneath=under))


DRIFT = {"may_fall_on": {0: SPANS}, "most_drift_m": row(90.0)}
REACH = {"may_reach": {0: SPANS}, "most_reach_m": 90.0}


@pytest.mark.parametrize(("unsaid", "rule"), [(DRIFT, "drift-not-known"), (REACH, "reach-not-known")])
@pytest.mark.parametrize(
    ("own_m", "mark"), [(None, Mark.UNKNOWN), (APART_M, Mark.ACT), (APART_M - 1, Mark.ACT)]
)
def test_whom_what_nobody_said_may_fall_on_leaves_it_open(unsaid, rule, own_m, mark):
    (one,) = beneath(open_case(own_m, **unsaid))
    assert (one.rule, one.mark) == (rule, mark)
    assert ("Your own distance is kept." in one.message) is (mark is Mark.ACT)
    # 90 m are 295.3 ft, rounded up.
    assert "296 ft" in one.message


@pytest.mark.parametrize(
    ("unsaid", "words"),
    [
        (DRIFT, "as a disc of its size, falling flat, 296 ft"),
        (REACH, "what fails comes down up to 296 ft away"),
    ],
)
@pytest.mark.parametrize(("own_m", "mark"), [(None, Mark.STOP), (NEAR_M, Mark.ACT)])
def test_nearer_than_it_is_high_is_no_less_a_stop_for_what_nobody_said(unsaid, words, own_m, mark):
    """Who says less is no better off (issue 6); what nobody said is told all the same."""
    (one,) = beneath(open_case(own_m, apart_m=NEAR_M, **unsaid))
    assert one.mark is mark
    assert words in one.message
    assert (one.rule == "people-near") is (mark is Mark.STOP)


@pytest.mark.parametrize("unsaid", [DRIFT, REACH])
def test_nearer_than_the_own_distance_it_is_not_kept(unsaid):
    own, one = beneath(open_case(APART_M + 0.1, **unsaid))
    assert (own.rule, own.mark, one.mark) == ("own-distance", Mark.STOP, Mark.UNKNOWN)


@pytest.mark.parametrize(
    ("able", "words"),
    [
        (None, "at 87 kt, the speed limit"),
        (Performance(), "at 87 kt, the speed limit"),
        # 20 m/s are 38.9 kt.
        (Performance(highest_mps=20.0), "at its highest airspeed, 38.9 kt"),
    ],
)
def test_as_fast_as_it_may_be_flown_is_said(able, words):
    (one,) = beneath(open_case(aircraft={"performance": able}, **REACH))
    assert words in one.message


@pytest.mark.parametrize(("own_m", "mark"), [(None, Mark.STOP), (25.0, Mark.ACT), (24.0, Mark.ACT)])
def test_who_is_near_is_a_stop_unless_the_own_distance_is_kept_everywhere(own_m, mark):
    near = case((PEOPLE,), apart={0: row(900.0, {9: 25.0})}, plan={"own_people_distance_m": own_m})
    (one,) = beneath(near)
    assert (one.rule, one.mark) == ("people-near", mark)
    assert ("Your own distance is kept." in one.message) is (own_m is not None)
    own, one = beneath(attrs.evolve(near, plan=attrs.evolve(near.plan, own_people_distance_m=25.1)))
    assert (own.rule, one.mark) == ("own-distance", Mark.STOP)


@pytest.mark.parametrize("unsaid", [DRIFT, REACH, {}])
def test_category_3_may_pass_beside_people(unsaid):
    """107.130: it may not stay over them; that passing beside is not staying is our own reading."""
    (one,) = beneath(open_case(aircraft=CATEGORY_3, apart_m=NEAR_M, **unsaid))
    assert one.mark is Mark.ACT
    assert "Category 3 may fly over people" in one.message


# ---- by its category


def told(mark):
    return Finding("r", mark, Basis.SAFETY, "Title", "What it does.", "common practice")


@pytest.mark.parametrize(
    ("mark", "by_law"),
    [(Mark.STOP, Mark.ACT), (Mark.UNKNOWN, Mark.ACT), (Mark.ACT, Mark.ACT), (Mark.NOTE, Mark.NOTE)],
)
def test_a_category_makes_an_act_of_what_is_worse_and_of_nothing_else(mark, by_law):
    eligible = case(aircraft={"over_people": OverPeople.CATEGORY_1})
    fun, unsaid = (
        attrs.evolve(eligible, plan=attrs.evolve(eligible.plan, purpose=purpose))
        for purpose in (Purpose.RECREATIONAL, None)
    )
    one = by_category(eligible, PEOPLE, told(mark))
    assert one.mark is by_law
    changed = mark in (Mark.STOP, Mark.UNKNOWN)
    assert ("Category 1 may fly over people" in one.message) is changed
    assert by_category(eligible, charted(Below.BUILDING), told(mark)) == told(mark)
    for no_category in (complete(), fun, unsaid):
        assert by_category(no_category, PEOPLE, told(mark)) == told(mark)
        assert declared_over(no_category, PEOPLE) == ""
    law = Ruling(mark, Basis.SAFETY, "What it does.", "common practice")
    assert declared(law, "").mark is mark
    assert declared(law, "Because.").mark is by_law
    assert ("Because." in declared(law, "Because.").why) is changed


def test_unless_it_is_said_to_stay_it_passes():
    passes = case(aircraft=CATEGORY_3)
    for sustained, mark in ((False, Mark.ACT), (True, Mark.STOP)):
        assert by_category(passes, PEOPLE, told(Mark.STOP), sustained=sustained).mark is mark
    assert by_category(passes, PEOPLE, told(Mark.STOP)).mark is Mark.ACT
    assert declared_over(passes, PEOPLE)


# ---- charted buildings without a height, spectators without a place


def low_over(*things):
    """18 m up, but 15 m over the second thing: lower than such a building may be (20 m, own choice)."""
    spots = [(float(TRACK.distance_m[k]), float(TRACK.distance_m[k + 1])) for k in (5, 10, 15)]
    base = case(things, [over(k, *spots[k]) for k in range(len(things))])
    agl_m = row(18.0, {10: 15.0})
    return list(
        cover(attrs.evolve(base, track=attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + agl_m)))
    )


def test_charted_buildings_without_a_height_are_told_together_where_it_is_lowest():
    barns = [charted(Below.BUILDING, name) for name in ("A", "B", "C")]
    for count, more in ((1, ""), (2, ", and 1 more"), (3, ", and 2 more")):
        (one,) = low_over(*barns[:count])
        assert (one.rule, one.mark) == ("cover-without-height", Mark.ACT)
        assert one.title == "How high charted buildings are is not known"
        assert f"So low it leads over {'A' if count == 1 else 'B'}{more}: the chart" in one.message
    # What the pilot drew, and what has a height, is told by itself.
    mine = drawn(Below.BUILDING, "barn")
    high = attrs.evolve(barns[0], charted_m=30.0)
    assert [one.title for one in low_over(mine, high, barns[2])] == [
        "How high barn is, is not said",
        "The path leads into A",
        "How high charted buildings are is not known",
    ]


def test_spectators_who_stand_nowhere_are_named():
    """14 CFR 107.39 speaks of everybody who takes no part; that they are to be placed is our own rule."""
    here = complete()
    for name, named in (("Jo", "Jo:"), ("", "A spectator:")):
        for where in (None, place()):
            watching = CrewMember("s", Role.SPECTATOR, name, where)
            found = list(
                spectators_placed(attrs.evolve(here, plan=attrs.evolve(here.plan, crew=(watching,))))
            )
            assert bool(found) is (where is None)
            for one in found:
                assert (one.rule, one.mark) == ("spectator-without-place", Mark.ACT)
                assert one.message.startswith(named)
