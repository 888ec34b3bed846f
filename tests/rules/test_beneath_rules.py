"""Who may be overflown, by which aircraft, under which rules; the fall.

Law: 14 CFR 107.39 and 107.110 to 107.145 (check values 1.26, 1.27, standing A); 49 USC 44809 names no rule
on people (1.25, A); 107.25 (waivable by 107.200, A; its text from memory, C). What counts as sustained has
no figure in the rule: more than one pass, or more than 100 m, is an own choice.
"""

import attrs
import pytest

from planner.assess import assess
from planner.flight.below import Below
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople, RemoteId
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.beneath_axis import beneath_axis
from planner.rules.beneath_law import Pass, ruling
from planner.rules.finding import Basis, Mark
from planner.rules.plain_words import plain_words
from planner.rules.verdict import Verdict
from tests import worlds
from tests.worlds import at


def item(kind, drawn_as, *offsets, **changes):
    return BeneathItem(kind, drawn_as, tuple(at(*offset) for offset in offsets), **changes)


def road(north_m=None, east_m=None, **changes):
    ends = ((-50, north_m), (450, north_m)) if east_m is None else ((east_m, -80), (east_m, 80))
    return item(BeneathKind.ROAD, DrawnAs.LINE, *ends, **{"moving_vehicles": True, **changes})


def people(east_m, north_m, kind=BeneathKind.PEOPLE, **changes):
    return item(kind, DrawnAs.SPOT, (east_m, north_m), **changes)


def judged(*items, purpose=Purpose.PART_107, height_m=40.0, speed_mps=None, changes=None, **aircraft):
    """A path of 400 m to the east, 40 m up, at 12 m/s unless a test says otherwise."""
    path = worlds.points([(0, 0, height_m), (400, 0, height_m)], LegShape.STRAIGHT)
    if speed_mps is not None:
        path = tuple(attrs.evolve(p, leg=attrs.evolve(p.leg, speed_mps=speed_mps)) for p in path)
    plan = attrs.evolve(worlds.plan(purpose=purpose, path=path), beneath=items, **(changes or {}))
    plan = attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, **aircraft))
    return assess(plan, worlds.world())


def finding(assessment, rule):
    return next((one for one in assessment.findings if one.rule == rule), None)


CATEGORY = [None, OverPeople.NONE, OverPeople.CATEGORY_1, OverPeople.CATEGORY_2, OverPeople.CATEGORY_3,
            OverPeople.CATEGORY_4]  # fmt: skip


@pytest.mark.parametrize(
    ("below", "sustained", "closed", "remote_id", "stops"),
    [
        # 107.39: nobody but direct participants without category or cover; consent is not asked after.
        (Below.PEOPLE, False, False, RemoteId.STANDARD, "SS...."),
        (Below.SUBJECT, False, False, RemoteId.STANDARD, "SS...."),
        (Below.SPECTATORS, False, False, RemoteId.STANDARD, "SS...."),
        # 107.125: category 3 stays over people only on a closed site whose people are told.
        (Below.PEOPLE, True, False, RemoteId.STANDARD, "SS..S."),
        (Below.PEOPLE, True, True, RemoteId.STANDARD, "SS...."),
        # 107.145: transit only, or a closed site whose people are told; an eligible category in any case.
        (Below.VEHICLES, False, False, RemoteId.STANDARD, "SS...."),
        (Below.VEHICLES, True, False, RemoteId.STANDARD, "SSSSS."),
        (Below.VEHICLES, True, True, RemoteId.STANDARD, "SS...."),
        # 107.125(a): never category 3 over assemblies; sustained by the others with Remote ID.
        (Below.ASSEMBLY, False, False, RemoteId.NONE, "SS..S."),
        (Below.ASSEMBLY, True, False, RemoteId.STANDARD, "SS..S."),
        (Below.ASSEMBLY, True, False, RemoteId.NONE, "SSSSSS"),
        (Below.ASSEMBLY, True, False, None, "SSSSSS"),
    ],
)
def test_who_may_be_overflown_under_part_107(below, sustained, closed, remote_id, stops):
    found = [
        ruling(below, Purpose.PART_107, Pass(category, remote_id, sustained, closed)) for category in CATEGORY
    ]
    assert "".join("S" if one.mark is Mark.STOP else "." for one in found) == stops
    assert all(one.basis is Basis.LAW and one.remedy for one in found)
    assert all("107." in one.citation for one in found)


@pytest.mark.parametrize("category", CATEGORY)
def test_for_recreation_the_statute_names_no_rule_on_people(category):
    """Check values 1.25 (A): what comes from guidelines must not be printed as the law of part 107."""
    found = ruling(Below.PEOPLE, Purpose.RECREATIONAL, Pass(category, None, False, False))
    assert found.mark is Mark.STOP
    assert found.basis is Basis.SAFETY
    assert "107" not in found.citation


def test_a_road_with_moving_cars_and_an_aircraft_without_category():
    """Check values 1.27 (A): crossing it with a non-category aircraft over occupied moving cars fails."""
    stop = finding(judged(road(east_m=200), over_people=OverPeople.NONE), "over-people")
    assert (stop.mark, stop.basis) == (Mark.STOP, Basis.LAW)
    assert stop.from_m == pytest.approx(195.0, abs=0.1)
    assert stop.to_m == pytest.approx(205.0, abs=0.1)
    assert "107.145" in stop.citation
    assert "195 m to 205 m at 90 degrees" in stop.message


def test_a_category_may_cross_it_once_but_not_fly_along_it():
    across = finding(judged(road(east_m=200), over_people=OverPeople.CATEGORY_2), "over-people")
    along = finding(judged(road(north_m=0), over_people=OverPeople.CATEGORY_2), "over-people")
    closed = finding(
        judged(road(north_m=0, closed_site=True), over_people=OverPeople.CATEGORY_2), "over-people"
    )
    assert [one.mark for one in (across, along, closed)] == [Mark.ACT, Mark.STOP, Mark.ACT]


def test_a_road_of_which_nobody_says_anything_is_looked_at_before_every_pass():
    act = finding(judged(road(east_m=200, moving_vehicles=None)), "over-road")
    assert act.mark is Mark.ACT
    assert "107.145" in act.citation
    quiet = judged(road(east_m=200, moving_vehicles=False))
    assert not [one for one in quiet.findings if one.rule.startswith("over-")]


def test_a_subject_who_agrees_is_no_crew():
    """Check values 1.26 (A), 107.39(a): directly participating, not consenting."""
    subject = judged(people(200, 0, BeneathKind.SUBJECT), over_people=OverPeople.NONE)
    assert finding(subject, "over-people").mark is Mark.STOP
    assert "agrees does not change that" in finding(subject, "over-people").message
    crew = judged(people(200, 0, BeneathKind.CREW), over_people=OverPeople.NONE)
    assert finding(crew, "over-people") is None
    covered = judged(people(200, 0, under_cover=True), over_people=OverPeople.NONE)
    assert finding(covered, "over-people") is None
    assert finding(covered, "over-people-under-cover").mark is Mark.NOTE


def test_who_stands_in_the_fall_or_nearer_than_it_is_high_is_a_stop():
    """60 m up at 20 m/s: 69.96 m (computed, check values 8.2); the path ends at 400 m."""
    at_height = {"height_m": 60.0, "speed_mps": 20.0}
    ahead = judged(people(460, 0), **at_height)
    stop = finding(ahead, "fall-on-people")
    assert (stop.mark, stop.basis) == (Mark.STOP, Basis.SAFETY)
    assert ahead.verdict is Verdict.MUST_CHANGE
    # Beside, no wind: the fall goes ahead, but an aircraft may turn: 60 m are nearer than 69.96 m.
    beside = judged(people(200, 65), **at_height)
    assert finding(beside, "fall-on-people") is None
    near = finding(beside, "people-near")
    assert near.mark is Mark.STOP
    assert "height is not enough" in near.message
    # At 12 m/s the fall reaches 41.98 m: as much distance as height is enough, and 1:1 rules.
    slow = finding(judged(people(200, 55), height_m=60.0, speed_mps=12.0), "people-near")
    assert "not enough" not in slow.message
    assert finding(judged(people(200, 80), **at_height), "people-near") is None


def test_an_own_distance_takes_the_place_of_the_fall_and_never_of_the_law():
    flight = {"height_m": 60.0, "speed_mps": 20.0}
    kept = judged(people(460, 0), changes={"own_people_distance_m": 50.0}, **flight)
    assert finding(kept, "fall-on-people").mark is Mark.ACT
    near = judged(people(200, 65), changes={"own_people_distance_m": 50.0}, **flight)
    assert finding(near, "people-near").mark is Mark.ACT
    assert "Your own distance is kept." in finding(near, "people-near").message
    broken = judged(people(460, 0), changes={"own_people_distance_m": 60.0}, **flight)
    own = finding(broken, "own-distance")
    assert (own.mark, own.basis, own.citation) == (Mark.STOP, Basis.OWN_LIMIT, "")
    over = judged(people(200, 0), changes={"own_people_distance_m": 1.0}, over_people=OverPeople.NONE)
    assert finding(over, "over-people").basis is Basis.LAW


def test_spectators_behind_their_line():
    line = item(BeneathKind.SPECTATOR_LINE, DrawnAs.LINE, (100, -60), (300, -60), name="Line (INVENTED)")
    assert finding(judged(line, height_m=50.0), "people-near") is None
    assert finding(judged(line, height_m=60.0), "people-near").mark is Mark.STOP
    crossed = item(BeneathKind.SPECTATOR_LINE, DrawnAs.LINE, (200, -60), (200, 60))
    assert finding(judged(crossed, over_people=OverPeople.NONE), "over-people").mark is Mark.STOP


@pytest.mark.parametrize(
    ("line_m", "launch_m", "found"),
    [
        # The path runs east at 0 m north. Launched from the south, people stand north of the line.
        (-40.0, -100.0, True),
        (-40.0, 100.0, False),
        (40.0, -100.0, False),
        (40.0, 100.0, True),
        # 50 m deep (own choice).
        (-48.0, -100.0, True),
        (-52.0, -100.0, False),
    ],
)
def test_a_path_behind_the_line_leads_over_those_who_watch(line_m, launch_m, found):
    """107.39 (1.26, A): they are neither crew nor under cover. By hand, at right angles to the path."""
    line = item(
        BeneathKind.SPECTATOR_LINE, DrawnAs.LINE, (100, line_m), (300, line_m), name="Line (INVENTED)"
    )
    launch = worlds.plan().launch
    changes = {"launch": attrs.evolve(launch, place=worlds.at(200, launch_m)), "landing": None}
    over = finding(judged(line, changes=changes, over_people=OverPeople.NONE), "over-people")
    assert (over is not None) is found
    if over:
        assert over.mark is Mark.STOP
        assert "and those behind it" in over.message


def test_a_line_through_the_launch_point_asks_the_landing_point_then_what_is_flown():
    line = item(BeneathKind.SPECTATOR_LINE, DrawnAs.LINE, (100, -40), (300, -40))
    launch, none = worlds.plan().launch, OverPeople.NONE
    on_line = attrs.evolve(launch, place=worlds.at(200, -40))
    south, north = (attrs.evolve(launch, place=worlds.at(200, y_m)) for y_m in (-90, 90))
    over = [
        finding(judged(line, changes={"launch": on_line, "landing": one}, over_people=none), "over-people")
        for one in (south, north, None)
    ]
    # Without a landing point the path, north of the line, says that people stand south of it.
    assert [one is not None for one in over] == [True, False, False]


def test_the_fall_is_said_with_energy_as_a_screening_only():
    note = finding(judged(height_m=60.0, speed_mps=20.0), "fall-zone")
    assert note.numbers["reach_m"] == pytest.approx(69.96, abs=0.01)
    # 69.96 m are 229.5 ft: a reach is rounded up in title and number alike.
    assert note.title == "A failed aircraft falls up to 230 ft ahead"
    assert "not enough" in note.message
    assert "screening only" in note.message
    slow = finding(judged(height_m=60.0, speed_mps=17.0), "fall-zone")
    assert "enough ahead" in slow.message  # neither wind nor drag is given


def test_people_inside_an_area_that_is_judged_for_itself():
    plan = attrs.evolve(
        worlds.plan(path=(), area=worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0))),
        beneath=(people(0, 0),),
    )
    plan = attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, over_people=OverPeople.NONE))
    answer = assess(plan, worlds.world())
    assert finding(answer, "people-in-area").mark is Mark.STOP
    assert "people: who is beneath is not given" not in " ".join(answer.not_known)
    away = assess(attrs.evolve(plan, beneath=(people(5_000, 5_000),)), worlds.world())
    assert finding(away, "people-in-area") is None


@pytest.mark.parametrize(
    ("vehicle", "mark"),
    [
        (FromVehicle(True, False), Mark.NOTE),
        (FromVehicle(), Mark.ACT),
        (FromVehicle(True, None), Mark.ACT),
        (FromVehicle(False, False), Mark.STOP),
        (FromVehicle(True, True), Mark.STOP),
    ],
)
def test_flown_from_a_moving_vehicle(vehicle, mark):
    """14 CFR 107.25 (text from memory, C): sparsely populated area, and nothing carried for hire."""
    found = finding(judged(changes={"from_vehicle": vehicle}), "from-moving-vehicle")
    assert found.mark is mark
    assert found.citation == "14 CFR 107.25"
    fun = finding(
        judged(purpose=Purpose.RECREATIONAL, changes={"from_vehicle": vehicle}), "from-moving-vehicle"
    )
    assert (fun.mark, fun.basis) == (Mark.ACT, Basis.SAFETY)


def test_what_is_not_given_is_not_checked_and_never_fine():
    assert "people: who is beneath is not given" in " ".join(judged().not_known)
    assert "people: who is beneath is not given" not in " ".join(judged(people(200, 300)).not_known)
    assert "other pilots' channels: " in " ".join(judged().not_known)


def test_the_axis_tells_the_same_as_the_findings():
    answer = judged(road(east_m=200), over_people=OverPeople.NONE)
    axis = beneath_axis(answer.case)
    here = abs(answer.track.distance_m - 200.0).argmin()
    assert axis.over_at(here) is Below.VEHICLES
    assert axis.mark_at(here) is Mark.STOP
    assert axis.over_at(0) is Below.CREW
    assert axis.over_at(-1) is axis.mark_at(0) is None
    # From before the road an aircraft falls on it, too.
    before = abs(answer.track.distance_m - 175.0).argmin()
    assert axis.falls_on_at(before) is Below.VEHICLES
    assert axis.mark_at(before) is Mark.STOP
    assert axis.checked


def test_wind_carries_a_slow_fall_onto_people_beside():
    """50 m down at 14.15 m/s (8.6): 4.53 s from rest, 0.22 s more as the air comes from aside with 17 m/s.

    A gust of 12 m/s carries it 57 m, by hand (`tests/flight/test_slow_fall.py` against scipy). Half its size
    and the 7 m to which a place is known (8.4) are 7.2 m more; a spot is 2 m in radius. At 4.73 degrees and
    1,013.25 hPa air is as dense at 1,000 ft as standard air at the sea; unsaid, it may be 1.40 kg/m3: 59 m.
    """
    blows = PlannedWeather(wind=TypedWind(8.0, 180.0, 12.0, law=WindLaw.NONE))
    told = attrs.evolve(blows, temperature_c=4.73, pressure_hpa=1_013.25)
    light = {"take_off_weight_kg": 0.25, "performance": Performance(drag_area_m2=0.02)}
    for north_m, rule, weather in (
        (65.0, "fall-on-people", told),
        (67.0, None, told),
        (67.0, "fall-on-people", blows),
        (69.5, None, blows),
    ):
        answer = judged(people(200, north_m), height_m=50.0, changes={"weather": weather}, **light)
        assert (finding(answer, "fall-on-people") is not None) is (rule is not None)


TREES = item(BeneathKind.TREES, DrawnAs.AREA, (150, -20), (250, -20), (250, 20), (150, 20),
             name="Stand (INVENTED)", height_m=25.0)  # fmt: skip


def test_a_path_into_drawn_trees_is_a_stop_and_over_them_is_none():
    stop = finding(judged(TREES, height_m=20.0), "into-cover")
    assert stop.mark is Mark.STOP
    assert (stop.from_m, stop.to_m) == (pytest.approx(150, abs=0.1), pytest.approx(250, abs=0.1))
    assert finding(judged(TREES, height_m=30.0), "into-cover") is None
    untold = judged(attrs.evolve(TREES, height_m=None), height_m=30.0)
    assert finding(untold, "cover-without-height").mark is Mark.ACT


def test_the_axis_holds_what_the_path_leads_into():
    axis_at = {}
    for height_m in (20.0, 30.0):
        answer = judged(TREES, height_m=height_m)
        axis = beneath_axis(answer.case)
        here, before = (int(abs(answer.track.distance_m - at_m).argmin()) for at_m in (200.0, 100.0))
        axis_at[height_m] = (axis.mark_at(here), axis.into_at(here))
        assert (axis.mark_at(before), axis.into_at(before)) == (None, None)
    assert axis_at == {20.0: (Mark.STOP, Below.TREES), 30.0: (None, None)}
    untold = judged(attrs.evolve(TREES, height_m=None), height_m=30.0)
    axis = beneath_axis(untold.case)
    here = int(abs(untold.track.distance_m - 200.0).argmin())
    assert (axis.mark_at(here), axis.into_at(here)) == (Mark.ACT, None)


@pytest.mark.parametrize(
    ("action", "thing", "mark"),
    [
        (LinkLossAction.DROP, people(200, 0), Mark.STOP),
        (LinkLossAction.LAND, people(200, 0), Mark.STOP),
        (LinkLossAction.HOLD, people(200, 0), Mark.STOP),
        (LinkLossAction.DROP, road(east_m=200, moving_vehicles=None), Mark.STOP),
        (LinkLossAction.LAND, road(east_m=200, moving_vehicles=None), Mark.ACT),
        (LinkLossAction.DROP, road(east_m=200, moving_vehicles=None, closed_site=True), None),
        (LinkLossAction.DROP, road(east_m=200, moving_vehicles=False), None),
        (LinkLossAction.RETURN_HIGHEST, people(200, 0), None),
    ],
)
def test_on_whom_it_comes_down_on_lost_link(action, thing, mark):
    answer = judged(thing, link_loss=LinkLoss(action, 0.0), over_people=OverPeople.NONE)
    found = finding(answer, "link-loss-on-people")
    assert (found.mark if found else None) is mark
    if found and action is LinkLossAction.DROP:
        # 40 m up at 12 m/s: 34.3 m ahead (check values 8.2), so from about 200 - 34 m, to the sample around.
        assert found.from_m < 200 - 34 < found.to_m + 1.0


def test_words_of_rules_name_what_is_drawn_and_what_wind_does():
    """A light body floats with the wind for longer than a stone falls (ballistics with drag)."""
    assert "one that you drew" in plain_words("over-road")
    assert "in still air real falls are shorter" in plain_words("fall-zone")
    assert "farther than that" in plain_words("fall-zone")
