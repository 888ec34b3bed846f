"""Three ways in which a flight was ready that nobody would see, or that was judged in part only.

That the observer sees the aircraft all along is 14 CFR 107.31 and 107.33, 49 USC 44809(a)(3) (as in
tests/published); that what nobody looked at is never ready is the project's own rule.
"""

from datetime import timedelta

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.crew import Contact, CrewMember, Role, Task
from planner.plan.geometry import Leg, LegShape
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.sight.screens import surfaces_with_screens
from planner.world.plane_terrain import PlaneTerrain
from planner.world.sites import GroundFeature, GroundKind
from tests.worlds import START, TRIED, at, box, level_terrain, plan, points, world


def found(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def flown_at(speed_mps):
    path = points([(-500, 0, 30.0), (500, 0, 30.0)])
    return (attrs.evolve(path[0], leg=Leg(LegShape.STRAIGHT, speed_mps)), path[1])


@pytest.mark.parametrize(("window_s", "told"), [(99, 1), (101, 0)])
def test_a_flight_longer_than_its_window_is_never_ready(window_s, told):
    """1,000 m at 10 m/s take 100 s."""
    window = attrs.evolve(plan().window, start_utc=START, end_utc=START + timedelta(seconds=window_s))
    answer = assess(plan(path=flown_at(10.0), window=window), world())
    assert len(found(answer, "longer-than-window")) == told
    assert answer.verdict is (Verdict.UNDETERMINED if told else Verdict.READY)


def crew(pilot, observer, spectator=frozenset()):
    return (
        CrewMember("pilot", Role.REMOTE_PILOT, "", at(), Contact.BESIDE, TRIED, frozenset(pilot)),
        CrewMember("observer", Role.OBSERVER, "", at(0, 1), Contact.BESIDE, TRIED, frozenset(observer)),
        CrewMember("guest", Role.SPECTATOR, "", at(0, 2), Contact.BESIDE, TRIED, frozenset(spectator)),
    )


BOTH = (Task.WATCH, Task.SCAN)


@pytest.mark.parametrize(
    "people",
    [
        crew((Task.WATCH,), (Task.SCAN,)),
        crew(BOTH, ()),
        crew((), (), BOTH),
        crew((), (Task.SCAN,), (Task.WATCH,)),
    ],
)
def test_whoever_wears_goggles_and_whoever_is_no_crew_watches_nothing(people):
    answer = assess(plan(crew=people), world())
    (told,) = found(answer, "nobody-watches")
    assert told.mark is Mark.UNKNOWN
    assert answer.verdict is not Verdict.READY


def test_whoever_wears_goggles_scans_no_sky():
    answer = assess(plan(crew=crew((Task.SCAN,), (Task.WATCH,))), world())
    (told,) = found(answer, "goggles-scan")
    assert told.mark is Mark.ACT
    assert not found(assess(plan(crew=crew((Task.SCAN,), BOTH)), world()), "goggles-scan")
    assert not found(assess(plan(crew=crew((), ())), world()), "goggles-scan")


def test_an_observer_or_a_pilot_beside_who_does_not_fly_may_watch():
    assert not found(assess(plan(crew=crew((), BOTH)), world()), "nobody-watches")
    two = (
        CrewMember("boss", Role.REMOTE_PILOT, "", at(), Contact.BESIDE, TRIED, frozenset({Task.WATCH})),
        CrewMember("hand", Role.PERSON_AT_CONTROLS, "", at(0, 1), Contact.BESIDE, TRIED, frozenset()),
        CrewMember("eyes", Role.OBSERVER, "", at(0, 2), Contact.BESIDE, TRIED, frozenset({Task.SCAN})),
    )
    assert not found(assess(plan(crew=two), world()), "nobody-watches")


# ---- what is drawn stands for what is charted, where it is drawn

GROUND = PlaneTerrain.lay(level_terrain(), assess(plan(), world()).scene.mapped.frame)
WIDE = (-2000.0, -2000.0, 2000.0, 2000.0)


def charted(height_m=22.0, name="Evergreen forest"):
    return GroundFeature(GroundKind.LAND_COVER, name, box(-100, 50, 100, 250), height_m=height_m)


def trees(west, south, east, north, kind=BeneathKind.TREES, height_m=1.0, name="evergreen forest"):
    ring = tuple(at(*corner) for corner in ((west, south), (east, south), (east, north), (west, north)))
    return BeneathItem(kind, DrawnAs.AREA, ring, name=name, height_m=height_m)


def area_left(drawn, feature):
    surfaces = surfaces_with_screens(GROUND, drawn, [feature], WIDE)
    high = [one for one in (*surfaces.screens, *surfaces.unmeasured) if one.top_amsl_m > GROUND_TOP + 5]
    return shapely.union_all([one.outline for one in high]).area


GROUND_TOP = float(level_terrain().heights_m.max())


def test_a_wood_stands_though_another_of_its_name_is_drawn_elsewhere():
    assert area_left([trees(600, 0, 700, 100)], charted()) == pytest.approx(40_000, rel=0.01)
    road = trees(-100, 50, 100, 250, BeneathKind.ROAD, None)
    assert area_left([road], charted()) == pytest.approx(40_000, rel=0.01)


def test_a_wood_drawn_roughly_over_the_charted_one_stands_for_it():
    assert area_left([trees(-80, 70, 80, 230)], charted()) == 0.0
    half = area_left([trees(-100, 50, 0, 250)], charted())
    assert half == pytest.approx(70 * 200, rel=0.02), "30 m about the drawn half"


@pytest.mark.parametrize("height_m", [None, 0.0, -3.0])
def test_a_charted_wood_of_no_height_is_of_unknown_height(height_m):
    surfaces = surfaces_with_screens(GROUND, [], [charted(height_m)], WIDE)
    assert len(surfaces.unmeasured) == 1
    assert not surfaces.screens


@pytest.mark.parametrize(
    "name", ["Coniferous", "Broadleaf", "Mangrove", "Hedgerow", "52", "324", "Shrubland"]
)
def test_woods_by_other_words(name):
    assert surfaces_with_screens(GROUND, [], [charted(name=name)], WIDE).screens
