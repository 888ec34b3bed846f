"""Links and lost link of a flight anywhere in an area: margins, clearances and who is there put in by hand.

How much is wanted, and what is told of what is not judged, is the project's own; no law speaks of it.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.area_flight import Nearby
from planner.flight.area_waits import Waits
from planner.flight.below import Below, Thing
from planner.plan.aircraft import LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules import area_links, area_loss_beneath
from planner.rules.finding import Basis, Mark
from planner.rules.stretches import place_at
from tests import worlds
from tests.rules.test_area_links import control, judged, returning

CASE = judged(radios=[control(required_margin_db=10.0)], loss=returning(), east_m=600.0).case
FLIGHT = CASE.area_flight
LINK, PLACES, (HIGH, LOW) = FLIGHT.links[0], FLIGHT.link_places, FLIGHT.losses
N = len(PLACES)
DROP, LAND, BACK = LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.RETURN_FIXED


def row(rest, values=None, n=N):
    made = np.full(n, float(rest))
    for place, value in (values or {}).items():
        made[place] = value
    return made


def free(loss=None, able=None, case=None, **flight):
    """The case with some of its answer, and what is said of the lost link or the aircraft, put in."""
    craft = CASE.plan.aircraft
    craft = attrs.evolve(craft, **(able or {}), link_loss=loss or craft.link_loss)
    base = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, aircraft=craft), **(case or {}))
    return attrs.evolve(base, area_flight=attrs.evolve(FLIGHT, **flight))


def the(rule, case):
    found = list(rule(case))
    assert len(found) <= 1
    return found[0] if found else None


# ---- margins


def linked(margin_db, terrain_db=None, radio=None):
    """A link of known margin (n,), by what the ground between takes of it."""
    profile = attrs.evolve(
        LINK.profile, margin_db=margin_db, terrain_db=row(0.0) if terrain_db is None else terrain_db
    )
    return (attrs.evolve(LINK, profile=profile, radio=radio or LINK.radio),)


@pytest.mark.parametrize(
    ("margin_db", "rules"),
    [
        (row(12.0), []),
        (row(10.0), []),
        (row(12.0, {3: 9.9}), ["control-margin"]),
        (row(12.0, {3: math.nan}), ["link-not-known"]),
        (row(12.0, {3: math.nan, 4: 2.0}), ["control-margin", "link-not-known"]),
        (row(math.nan), ["link-not-known"]),
    ],
)
def test_one_place_with_too_little_or_of_nothing_known_is_enough(margin_db, rules):
    found = list(area_links.margins(free(links=linked(margin_db))))
    assert [one.rule for one in found] == rules
    for one in found:
        if one.rule == "control-margin":
            weakest = int(np.nanargmin(margin_db))
            assert one.place == place_at(PLACES, weakest)
            assert one.numbers == {"margin_db": margin_db[weakest], "wanted_db": 10.0}


@pytest.mark.parametrize(("takes_db", "told"), [(0.99, False), (1.0, True), (1.5, True)])
def test_what_the_ground_takes_is_told_from_a_decibel_on(takes_db, told):
    one = the(area_links.margins, free(links=linked(row(12.0, {3: 5.0}), terrain_db=row(0.0, {3: takes_db}))))
    assert ("Ground takes" in one.message) is told


def test_without_places_there_is_no_link_to_judge():
    weak = linked(row(1.0))
    assert the(area_links.margins, free(links=weak)) is not None
    assert the(area_links.margins, free(links=weak, link_places=None)) is None
    assert the(area_links.margins, attrs.evolve(CASE, area_flight=None)) is None


def test_a_margin_that_is_usual_is_not_called_the_pilots_own():
    usual = attrs.evolve(LINK.radio, required_margin_db=None)
    for radio, basis in ((LINK.radio, Basis.OWN_LIMIT), (usual, Basis.SAFETY)):
        one = the(area_links.margins, free(links=linked(row(5.0), radio=radio)))
        assert (one.basis, bool(one.citation)) == (basis, basis is Basis.SAFETY)


# ---- clearing ground, ceiling and wind


def ways(high=None, low=None):
    """Returns from the top and from the ground; clearance 50 m where nothing is put in."""
    rest = {
        "clearance_m": row(50.0),
        "acting_m": row(50.0),
        "waiting_m": row(60.0),
        "waited_agl_m": row(60.0),
    }
    return {
        "losses": tuple(
            attrs.evolve(loss, **{**rest, **(given or {})}) for loss, given in ((HIGH, high), (LOW, low))
        ),
        # From well above the ground, so that what is wanted is the margin.
        "places": tuple(
            attrs.evolve(places, planned_amsl_m=places.ground_amsl_m + 60.0) for places in FLIGHT.places
        ),
    }


def cleared(**values):
    room_m = row(50.0, {int(place[1:]): m for place, m in values.items()})
    return {"clearance_m": room_m, "acting_m": room_m}


@pytest.mark.parametrize(
    ("high", "low", "where", "place", "m"),
    [
        (cleared(p3=4.0), None, "at the area's top", 3, 4.0),
        (None, cleared(p3=4.0), "low in the area", 3, 4.0),
        (cleared(p3=4.0, p4=2.0), cleared(p5=3.0), "at the area's top", 4, 2.0),
        (cleared(p3=4.0), cleared(p5=3.0), "low in the area", 5, 3.0),
        # Equally low from both: the top is named.
        (cleared(p3=3.0), cleared(p5=3.0), "at the area's top", 3, 3.0),
    ],
)
def test_the_lowest_of_the_returns_is_told_with_where_it_begins(high, low, where, place, m):
    one = the(area_links.clears, free(**ways(high, low)))
    assert one.title == "On lost link it comes too low"
    assert f"Lost {where} the aircraft" in one.message
    assert one.place == place_at(FLIGHT.places[0 if "top" in where else 1], place)
    assert one.numbers["clearance_m"] == m


@pytest.mark.parametrize(
    ("m", "title", "words"),
    [
        # 3 m are 9.8 ft, rounded up; 0.5 m are 1.6 ft, to the nearest.
        (-3.0, "On lost link it hits the ground", "its way is 10 ft too low over the ground"),
        (0.0, "On lost link it comes too low", "clears by only 0 ft"),
        (0.5, "On lost link it comes too low", "its way clears by only 2 ft over the ground"),
    ],
)
def test_what_hits_is_told_as_that(m, title, words):
    said = returning(clear_by_m=10.0)
    one = the(area_links.clears, free(said, **ways(cleared(p3=m))))
    if m == 0.0:  # touching is hitting
        title, words = "On lost link it hits the ground", "its way comes down to the ground"
    assert one.title == title
    assert words in one.message
    own = m > 0
    assert (one.basis, bool(one.citation)) == (Basis.OWN_LIMIT if own else Basis.SAFETY, not own)
    usual = the(area_links.clears, free(returning(), **ways(cleared(p3=m))))
    assert usual.basis is Basis.SAFETY


@pytest.mark.parametrize(
    ("over", "told"),
    [
        ((row(-5.0), row(-5.0)), None),
        ((row(-5.0, {3: 2.0, 4: 4.0}), row(-5.0)), ("at the area's top", 4, 4.0)),
        ((row(-5.0, {3: 2.0}), row(-5.0, {5: 4.0})), ("low in the area", 5, 4.0)),
        ((row(-5.0, {3: 4.0}), row(-5.0, {5: 2.0})), ("at the area's top", 3, 4.0)),
        ((row(math.nan), row(-5.0, {5: 2.0})), ("low in the area", 5, 2.0)),
        ((row(math.nan, {3: 2.0}), row(-5.0)), ("at the area's top", 3, 2.0)),
        ((row(math.nan), row(math.nan)), None),
        ((row(0.0), row(0.0)), None),
    ],
)
def test_the_highest_return_above_a_ceiling_is_told(over, told):
    one = the(area_links.under_ceiling, free(case={"area_loss_over_ceiling_m": over}))
    assert (one is None) is (told is None)
    if one:
        where, place, m = told
        assert f"Lost {where} the aircraft" in one.message
        assert one.numbers == {"over_m": m}
        assert one.place == place_at(FLIGHT.places[0 if "top" in where else 1], place)


def test_the_first_place_from_which_the_wind_forbids_the_return_is_shown():
    blown = row(0.0, {4: 1.0, 5: 1.0}).astype(bool)
    one = the(area_links.wind_lets_it, free(**ways({"blown_away": blown}, {"blown_away": blown})))
    assert one.place == place_at(FLIGHT.places[0], 4)
    assert "at the area's top" in one.message
    assert the(area_links.wind_lets_it, free(**ways())) is None


@pytest.mark.parametrize(
    ("high", "low", "over", "mark"),
    [
        (None, None, (), None),
        # Unknown ground leaves the answer open, an unknown ceiling is something to do: own choice.
        (cleared(p3=math.nan), None, (), Mark.UNKNOWN),
        (None, cleared(p3=math.nan), (), Mark.UNKNOWN),
        (None, None, (row(-5.0), row(-5.0)), None),
        (None, None, (row(-5.0, {3: math.nan}), row(-5.0)), Mark.ACT),
        (None, None, (row(-5.0), row(-5.0, {3: math.nan})), Mark.ACT),
    ],
)
def test_one_place_of_which_nobody_knows_is_told(high, low, over, mark):
    case = free(case={"area_loss_over_ceiling_m": over}, **ways(high, low))
    one = the(area_links.known, case)
    assert (one.mark if one else None) is mark


def test_unknown_ground_where_it_flies_on_to_leaves_the_answer_open():
    ground = Waits(20.0, clearance_m=math.nan)
    assert the(area_links.known, free(waits=ground, **ways())).mark is Mark.UNKNOWN
    assert the(area_links.known, free(waits=Waits(20.0, clearance_m=5.0), **ways())) is None
    assert the(area_links.known, attrs.evolve(CASE, area_flight=None)) is None


# ---- who is there


def near(below, apart_m, *, closed=None, returned=True, drawn=True, ended=None):
    shape = shapely.box(10, 10, 20, 20)
    ring = tuple(worlds.at(*corner) for corner in ((10, 10), (20, 10), (20, 20)))
    item = BeneathItem(BeneathKind.GATHERING, DrawnAs.AREA, ring, closed_site=closed) if drawn else None
    thing = Thing(below, "A", shape, item=item)
    ended_on = apart_m <= 0 if ended is None else ended
    return Nearby(thing, apart_m, drifted_on=False, returned_over=returned, ended_on=ended_on)


@pytest.mark.parametrize(
    ("action", "thing", "told"),
    [
        (DROP, near(Below.PEOPLE, 0.0), ("link-loss-on-people", Mark.STOP)),
        (LAND, near(Below.PEOPLE, 0.0), ("link-loss-on-people", Mark.STOP)),
        (LAND, near(Below.ROAD, 0.0), ("link-loss-on-people", Mark.ACT)),
        (DROP, near(Below.ROAD, 0.0), ("link-loss-on-people", Mark.STOP)),
        (DROP, near(Below.ROAD, 0.0, drawn=False), ("link-loss-on-people", Mark.STOP)),
        # A place that is closed, and whose people are told, is nobody's; who is there stays there.
        (DROP, near(Below.ROAD, 0.0, closed=True), None),
        (DROP, near(Below.ROAD, 0.0, closed=False), ("link-loss-on-people", Mark.STOP)),
        (DROP, near(Below.PEOPLE, 0.0, closed=True), ("link-loss-on-people", Mark.STOP)),
        # Beside the area it comes down on nobody there, and a return begins above whoever is inside.
        (DROP, near(Below.PEOPLE, 0.5), None),
        (DROP, near(Below.PEOPLE, 0.5, ended=True), ("link-loss-on-people", Mark.STOP)),
        (BACK, near(Below.PEOPLE, 0.0, ended=True), None),
        (BACK, near(Below.PEOPLE, 0.0), None),
        (BACK, near(Below.PEOPLE, 0.5), ("return-over-people", Mark.ACT)),
        (BACK, near(Below.ASSEMBLY, 0.5), ("return-over-people", Mark.STOP)),
        (BACK, near(Below.TRAIL, 0.5), ("return-over-people", Mark.NOTE)),
        (BACK, near(Below.TRAIL, 0.5, closed=True), None),
        (BACK, near(Below.PEOPLE, 0.5, returned=False), None),
    ],
)
def test_whom_it_comes_down_on_or_returns_over(action, thing, told):
    one = the(area_loss_beneath.over_people, free(attrs.evolve(returning(), action=action), nearby=(thing,)))
    assert (one and (one.rule, one.mark)) == told


@pytest.mark.parametrize(
    ("apart_m", "reach_m", "below", "words", "remedy"),
    [
        (0.0, 20.0, Below.PEOPLE, "Lost over A inside the flying area the aircraft falls", "cut them out"),
        # 20 m are 65.6 ft, rounded up; half a metre is 1.6 ft, rounded down.
        (
            0.5,
            20.0,
            Below.PEOPLE,
            "flies on for 2 s, 66 ft at the highest airspeed given and with the wind, then falls",
            "end the area",
        ),
        (0.5, 20.0, Below.PEOPLE, ": A, 1 ft outside.", "end the area"),
        (0.5, 20.0, Below.ROAD, ": A, 1 ft outside.", "end the area"),
        (
            0.5,
            0.5,
            Below.PEOPLE,
            "flies on for 2 s, 2 ft at the highest airspeed given and with the wind, then falls",
            "end the area",
        ),
        (0.5, 0.0, Below.PEOPLE, "the edge of the flying area the aircraft falls", "end the area"),
        (0.5, math.nan, Below.PEOPLE, "the edge of the flying area the aircraft falls", "end the area"),
    ],
)
def test_it_is_said_from_where_it_comes_down_on_them(apart_m, reach_m, below, words, remedy):
    said = attrs.evolve(returning(), action=DROP, delay_s=2.0)
    thing = near(below, apart_m, ended=True)
    one = the(area_loss_beneath.over_people, free(said, nearby=(thing,), waits=Waits(reach_m)))
    assert words in one.message
    assert one.remedy.startswith(remedy)
