"""Who must see the aircraft, how far, in what light: the rules against figures from outside.

Sources and standing: distances from European guidance of 2024 (standing B, no US legal force);
14 CFR 107.29, 107.31, 107.33, 107.51 and 49 USC 44809 (standing A); 14 CFR 89.115 (standing B).
"""

from datetime import UTC, date, datetime, timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Lights, RemoteId
from planner.plan.crew import Contact, CrewMember, Role, TriedRange
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Basis, Mark
from planner.rules.light import dark_spans
from planner.rules.verdict import Verdict
from planner.units import STATUTE_MILE_M
from tests import worlds
from tests.worlds import at, plan, points, world

QUAD = "5-inch quad"


def observer(east_m=0.0, north_m=0.0, *, tried_m=None, key="observer", **changes):
    given = {"name": key, "place": at(east_m, north_m), "contact": Contact.BESIDE}
    tried = (TriedRange(QUAD, date(2027, 6, 1), "overcast", tried_m, against_sun=True),) if tried_m else ()
    return CrewMember(key, Role.OBSERVER, **{**given, "tried_ranges": tried, **changes})


def pilot(east_m=0.0, north_m=0.0, **changes):
    member = observer(east_m, north_m, key="pilot", **{"tried_m": 9_000.0, **changes})
    return attrs.evolve(member, role=Role.REMOTE_PILOT)


def found(answer, rule):
    return [finding for finding in answer.findings if finding.rule == rule]


def out_and_back(far_m):
    """A path due north at eye height, away from the sun: what is slant is what is flat."""
    return points([(0, 20, 1.7), (0, far_m, 1.7), (0, 20, 1.7)])


# ---- how far


@pytest.mark.parametrize(
    ("far_m", "expected"),
    [(134.4, Verdict.READY), (134.6, Verdict.UNDETERMINED), (1_448.5, Verdict.MUST_CHANGE)],
)
def test_a_quad_of_35_cm_is_judged_to_134_m_and_found_to_1448_m_at_3_statute_miles(far_m, expected):
    """327 x 0.35 + 20 = 134.45 m; 0.3 x 4,828 m = 1,448.4 m (standing B)."""
    flight = plan(path=out_and_back(far_m), crew=(pilot(), observer()), visibility_m=3 * STATUTE_MILE_M)
    assert assess(flight, world()).verdict is expected


def test_the_slant_range_counts_not_the_distance_over_the_ground():
    """300 m away and 400 ft up are 323.8 m through the air (check value of slant range)."""
    flight = plan(
        path=points([(0, 300, 121.9), (1, 300, 121.9)]), crew=(pilot(), observer(tried_m=320.0)), launch=None
    )
    answer = assess(flight, world())
    (untried,) = found(answer, "distance-not-tried")
    assert untried.mark is Mark.UNKNOWN
    assert untried.numbers["slant_range_m"] == pytest.approx(np.hypot(300.0, 121.9 - 1.7), abs=0.1)
    assert "320 m" in untried.message


def test_a_tried_range_replaces_the_estimate_but_never_exceeds_what_can_be_found():
    flight = plan(path=out_and_back(1_600.0), crew=(pilot(), observer(tried_m=5_000.0)))
    assert assess(flight, world()).verdict is Verdict.READY
    hazy = attrs.evolve(flight, visibility_m=5_000.0)
    (stop,) = found(assess(hazy, world()), "too-far-to-see")
    assert stop.mark is Mark.STOP
    assert stop.from_m == pytest.approx(1_500.0 - 20.0, abs=15.0)
    assert "no US legal force" in stop.message


def test_without_visibility_nothing_is_ready_and_below_the_least_it_must_change():
    """107.51(c): 3 statute miles (standing A)."""
    assert found(assess(plan(visibility_m=None), world()), "no-visibility")[0].mark is Mark.UNKNOWN
    assert assess(plan(visibility_m=None), world()).verdict is Verdict.UNDETERMINED
    low = plan(visibility_m=4_827.0, path=out_and_back(100.0))
    assert found(assess(low, world()), "visibility-too-low")[0].mark is Mark.STOP
    assert not found(assess(attrs.evolve(low, visibility_m=4_828.032), world()), "visibility-too-low")
    assert not found(assess(attrs.evolve(low, purpose=Purpose.RECREATIONAL), world()), "visibility-too-low")


# ---- what is in the way


def wall(east_m, _north_m):
    """A wall across, 20 m high, 60 m wide, 150 m east of HERE."""
    return np.where(np.abs(east_m - 150.0) < 31.0, worlds.GROUND_M + 20.0, worlds.GROUND_M)


BEHIND = points([(220, 0, 2.0), (220, 60, 2.0)])


def test_hidden_is_a_stop_for_all_of_its_stretch_with_the_height_that_would_cure_it():
    charts = world(terrain=worlds.terrain(wall))
    answer = assess(plan(path=BEHIND), charts)
    (stop,) = found(answer, "hidden-from-crew")
    assert stop.mark is Mark.STOP
    assert (stop.from_m, stop.to_m) == pytest.approx((0.0, answer.track.length_m))
    # Raised by what the remedy says, and the interpolated edge, it is seen.
    rise_m = -stop.numbers["spare_m"] + 0.5
    raised = plan(path=points([(220, 0, 2.0 + rise_m), (220, 60, 2.0 + rise_m)]))
    assert not found(assess(raised, charts), "hidden-from-crew")


def test_a_recorded_waiver_of_107_31_makes_it_something_to_do():
    waiver = worlds.record("14 CFR 107.31", None, PermissionKind.WAIVER)
    charts = world(terrain=worlds.terrain(wall))
    answer = assess(plan(path=BEHIND, permissions=(waiver,)), charts)
    assert {finding.mark for finding in found(answer, "hidden-from-crew")} == {Mark.ACT}
    late = attrs.evolve(waiver, valid_from_utc=worlds.START + timedelta(minutes=30))
    answer = assess(plan(path=BEHIND, permissions=(late,)), charts)
    assert {finding.mark for finding in found(answer, "hidden-from-crew")} == {Mark.STOP}


@pytest.mark.parametrize(
    ("days", "own_days", "basis"),
    [
        (365, None, None),
        (366, None, Basis.SAFETY),
        (366, 500.0, None),
        (100, 90.0, Basis.OWN_LIMIT),
        (1_000, 90.0, Basis.OWN_LIMIT),
    ],
)
def test_a_range_tried_long_ago_is_said_and_still_counts(days, own_days, basis):
    """That a trial should not be older than a year is common practice; no rule knows a limit."""
    on = plan().window.start_utc.date() - timedelta(days=days)
    crew = tuple(
        attrs.evolve(member, tried_ranges=tuple(attrs.evolve(one, on=on) for one in member.tried_ranges))
        for member in plan().crew
    )
    answer = assess(plan(crew=crew, own_tried_days=own_days), world())
    said = found(answer, "range-tried-long-ago")
    assert {finding.basis for finding in said} == ({basis} if basis else set())
    assert {finding.mark for finding in said} <= {Mark.ACT}
    if said:
        assert f"on {on.day} {on:%b %Y}," in said[0].message
        assert said[0].numbers["ago_days"] == days
    assert answer.verdict is assess(plan(), world()).verdict


def test_unknown_ground_under_the_line_is_unknown_never_seen():
    holed = worlds.terrain(lambda east, north: np.where(np.abs(east - 150) < 31, np.nan, worlds.GROUND_M))
    answer = assess(plan(path=BEHIND), world(terrain=holed))
    assert {finding.mark for finding in found(answer, "sight-not-known")} == {Mark.UNKNOWN}
    assert set(check_json(answer)["sight"]["seen"]) == {None}
    assert set(check_json(answer)["sight"]["reason"]) == {"unknown"}


# ---- who must see


def behind_the_wall(purpose, remote_id):
    """The observer sees it, whoever flies does not."""
    aircraft = attrs.evolve(plan().aircraft, remote_id=remote_id)
    crew = (pilot(), observer(230, -10, contact=Contact.BESIDE))
    return plan(purpose, path=BEHIND, aircraft=aircraft, crew=crew)


@pytest.mark.parametrize(
    ("purpose", "remote_id", "citation"),
    [
        (Purpose.PART_107, RemoteId.STANDARD, "14 CFR 107.31(a)"),
        (Purpose.RECREATIONAL, RemoteId.BROADCAST_MODULE, "14 CFR 89.115(a), as read in secondary texts"),
        (None, RemoteId.STANDARD, "14 CFR 107.31(a)"),
        (Purpose.RECREATIONAL, RemoteId.STANDARD, None),
    ],
)
def test_whoever_flies_must_be_able_to_see_it_by_part_107_or_with_a_broadcast_module(
    purpose, remote_id, citation
):
    answer = assess(behind_the_wall(purpose, remote_id), world(terrain=worlds.terrain(wall)))
    stops = found(answer, "hidden-from-crew")
    assert [stop.citation for stop in stops] == ([citation] if citation else [])
    assert all("pilot" in stop.title and "observer" not in stop.title for stop in stops)


def test_one_of_several_observers_is_enough_but_they_don_t_cure_the_pilot():
    charts = world(terrain=worlds.terrain(wall))
    two = plan(path=BEHIND, crew=(pilot(230, 70), observer(), observer(230, -10, key="second")))
    assert not found(assess(two, charts), "hidden-from-crew")
    blind = attrs.evolve(two, crew=(pilot(), *two.crew[1:]))
    assert len(found(assess(blind, charts), "hidden-from-crew")) == 1


def test_an_observer_300_m_away_on_the_radio_is_lawful_under_part_107_only():
    """44809(a)(3) against 107.33(a) (standing A)."""
    crew = (pilot(), observer(0, 300, tried_m=9_000.0, contact=Contact.RADIO))
    assert assess(plan(crew=crew), world()).verdict is Verdict.READY
    fun = assess(worlds.recreational(crew=crew), world())
    assert found(fun, "observer-not-beside")[0].mark is Mark.STOP
    said = (pilot(), observer(0, 300, tried_m=9_000.0, contact=Contact.BESIDE))
    assert (
        found(assess(worlds.recreational(crew=said), world()), "observer-stands-apart")[0].mark
        is Mark.UNKNOWN
    )


def test_a_flyer_without_a_place_leaves_it_open():
    crew = (pilot(place=None), observer(tried_m=9_000.0))
    answer = assess(plan(crew=crew), world())
    assert found(answer, "flyer-not-placed")[0].mark is Mark.UNKNOWN
    # 44809(a)(3) (standing A): co-located with whom, if the pilot stands nowhere?
    fun = assess(worlds.recreational(crew=crew), world())
    assert "co-located" in found(fun, "flyer-not-placed")[0].message
    assert fun.verdict is Verdict.UNDETERMINED


def test_watching_and_scanning_are_two_tasks():
    """107.33(c) (standing A)."""
    crew = tuple(attrs.evolve(member, tasks=frozenset()) for member in plan().crew)
    answer = assess(plan(crew=crew), world())
    assert found(answer, "tasks-not-shared")[0].mark is Mark.ACT
    assert answer.verdict is Verdict.READY
    both = (crew[0], attrs.evolve(crew[1], tasks=worlds.SCANS | worlds.WATCHES))
    assert found(assess(plan(crew=both), world()), "both-tasks-at-once")[0].mark is Mark.NOTE
    assert not found(assess(plan(), world()), "tasks-not-shared")


# ---- light


def at_place(lon, lat, start_utc, minutes, **changes):
    place = Place(lon, lat)
    window = TimeWindow(start_utc, start_utc + timedelta(minutes=minutes))
    return plan(launch=GroundSpot(place, LandStatus.OWN), window=window, **changes)


@pytest.mark.parametrize(
    ("start_utc", "dark"),
    [
        # Seattle 21 Jun 2026: sunset 21:10:51, 30 minutes end 21:40:51, night from 21:51:36 PDT (computed).
        (datetime(2026, 6, 22, 3, 50, tzinfo=UTC), False),
        (datetime(2026, 6, 22, 4, 12, tzinfo=UTC), True),
        (datetime(2026, 6, 22, 4, 43, tzinfo=UTC), True),
        (datetime(2026, 6, 22, 4, 55, tzinfo=UTC), True),
    ],
)
def test_lights_are_wanted_from_sunset_to_sunrise_also_where_neither_paragraph_holds(start_utc, dark):
    flight = at_place(-122.3321, 47.6062, start_utc, 5)
    assert bool(dark_spans(flight)) is dark


DUSK = datetime(2027, 6, 13, 5, 32, tzinfo=UTC)


def dusk_plan(purpose, lights):
    window = TimeWindow(DUSK, DUSK + timedelta(minutes=15))
    notices = attrs.evolve(plan().notices, at_utc=DUSK - timedelta(hours=1))
    aircraft = attrs.evolve(plan().aircraft, lights=lights)
    return plan(purpose, window=window, notices=notices, aircraft=aircraft, guidelines="INVENTED")


@pytest.mark.parametrize(
    ("purpose", "lights", "mark"),
    [
        (Purpose.PART_107, Lights(True, 4_828.032), None),
        (Purpose.PART_107, Lights(True, 4_827.0), Mark.STOP),
        (Purpose.PART_107, Lights(False), Mark.STOP),
        (Purpose.PART_107, Lights(True), Mark.UNKNOWN),
        (Purpose.PART_107, None, Mark.UNKNOWN),
        (Purpose.RECREATIONAL, Lights(False), Mark.UNKNOWN),
    ],
)
def test_the_light_by_purpose(purpose, lights, mark):
    """107.29(b): seen for 3 statute miles (standing A); for recreation the guidelines decide."""
    answer = assess(dusk_plan(purpose, lights), world())
    assert [finding.mark for finding in found(answer, "no-light-by-dark")] == ([mark] if mark else [])


def test_an_estimate_of_the_day_does_not_count_by_dark():
    flight = attrs.evolve(dusk_plan(Purpose.PART_107, Lights(True, 5_000.0)), path=out_and_back(100.0))
    flight = attrs.evolve(flight, crew=(pilot(tried_m=None), observer()))
    assert found(assess(flight, world()), "not-tried-by-dark")[0].mark is Mark.UNKNOWN


def test_toward_the_sun_is_unknown_until_tried_and_the_remedy_names_an_hour():
    # In the evening the sun stands low in the west-north-west, about 290 degrees.
    start = datetime(2027, 6, 13, 4, 40, tzinfo=UTC)
    window = TimeWindow(start, start + timedelta(minutes=10))
    notices = attrs.evolve(plan().notices, at_utc=start - timedelta(hours=1))
    toward = points([(-30, 12, 12.0), (-100, 37, 20.0)])
    tried = attrs.evolve(worlds.TRIED[0], against_sun=False)
    crew = tuple(attrs.evolve(member, tried_ranges=(tried,)) for member in plan().crew)
    flight = plan(path=toward, window=window, notices=notices, crew=crew)
    answer = assess(flight, world())
    (glare,) = found(answer, "against-the-sun")
    assert glare.mark is Mark.UNKNOWN
    assert "begin the window at" in glare.remedy
    assert assess(plan(path=toward, window=window, notices=notices), world()).verdict is Verdict.READY


# ---- an area


def test_an_area_is_judged_all_over():
    drawn = worlds.area(worlds.box(-60, -60, 60, 60), worlds.points([(0, 0, 30.0)])[0].height)
    near = plan(path=(), area=drawn, crew=(pilot(), observer()))
    answer = assess(near, world())
    assert answer.verdict is Verdict.READY, answer.findings
    wide = worlds.area(worlds.box(-200, -60, 200, 60), drawn.top)
    untried = assess(attrs.evolve(near, area=wide), world())
    assert found(untried, "area-not-tried")[0].mark is Mark.UNKNOWN
    behind = worlds.area(worlds.box(190, -30, 230, 30), worlds.points([(0, 0, 3.0)])[0].height)
    hidden = assess(attrs.evolve(near, area=behind), world(terrain=worlds.terrain(wall)))
    assert found(hidden, "area-hidden")[0].mark is Mark.STOP


def test_the_arrays_of_the_json_say_the_same_on_the_same_axis():
    answer = assess(plan(path=BEHIND), world(terrain=worlds.terrain(wall)))
    written = check_json(answer)["sight"]
    assert {len(values) for values in written.values()} == {len(answer.track)}
    assert set(written["seen"]) == {False}
    assert set(written["reason"]) == {"hidden"}
    (stop,) = found(answer, "hidden-from-crew")
    assert min(written["clearance_m"]) == pytest.approx(stop.numbers["clearance_m"])
    seen = check_json(assess(plan(), world()))["sight"]
    assert set(seen["seen"]) == {True}
    assert set(seen["reason"]) == {None, "against-the-sun"}, "tried toward the sun, and said all the same"
