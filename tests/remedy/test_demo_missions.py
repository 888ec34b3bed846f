"""The remedies on the demo missions that must change, and on real terrain."""

import numpy as np
import pytest

from planner.assess import assess
from planner.chart_folders import known_chart_sets
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan, Purpose
from planner.remedy.lower import lower_path
from planner.remedy.lowest_change import lowest_change
from planner.remedy.remedy import NoRemedy
from planner.remedy.sink import SinkLimits, sink_path
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from planner.world.readers.terrain import read_terrain
from planner.world.world import World

LIMITS = SinkLimits(margin_m=6.0, clearance_m=20.0, steepest=0.7)


def mission(name):
    plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return plan, surroundings(plan, known_sets=known_chart_sets())


def stops(answer):
    return {finding.rule for finding in answer.findings if finding.mark is Mark.STOP}


# The dive climbs at 15 m/s: with 6 m of room it would still fly on above the ceiling when its link is lost.
@pytest.mark.parametrize(("name", "margin_m"), [("cliff_level", 6.0), ("mast_dive_recreational", 16.0)])
def test_lowering_makes_a_mission_lawful(name, margin_m):
    plan, charts = mission(name)
    answer = assess(plan, charts)
    assert answer.verdict is Verdict.MUST_CHANGE
    remedy = lower_path(answer, margin_m)
    assert assess(remedy.edit.apply(plan), charts).verdict is Verdict.READY
    assert not stops(assess(lower_path(answer, 6.0).edit.apply(plan), charts)) - {"link-loss-above-ceiling"}
    assert remedy.before.least_room_m < 0 < remedy.after.least_room_m


def test_the_level_run_off_the_cliff_becomes_a_sink_line():
    plan, charts = mission("cliff_level")
    remedy = sink_path(assess(plan, charts), LIMITS)
    after = assess(remedy.edit.apply(plan), charts)
    assert after.verdict is Verdict.READY
    assert (np.diff(after.track.planned_amsl_m) <= 1e-6).all()
    assert remedy.after.points <= 5


def test_the_lowest_change_of_both():
    plan, charts = mission("cliff_level")
    chosen = lowest_change(assess(plan, charts), LIMITS, 50.0)
    assert assess(chosen.edit.apply(plan), charts).verdict is Verdict.READY


@pytest.mark.parametrize("seed", range(40))
def test_lowered_paths_on_real_terrain(seed, shared_data):
    """Random paths over the mountains of Tennessee (SRTM, public domain)."""
    terrain, record = read_terrain(shared_data / "terrain" / "jacksboro_tn_3arcsec.tif", None, None)
    charts = World(terrain=terrain, layers=(record,))
    draw = np.random.default_rng(seed)
    here = Place(-84.30 + draw.uniform(-0.06, 0.06), 36.30 + draw.uniform(-0.05, 0.05))
    path = []
    for _ in range(int(draw.integers(2, 6))):
        height = (
            AboveGround(draw.uniform(20, 300))
            if draw.random() < 0.5
            else AboveSeaLevel(draw.uniform(400, 900))
        )
        shape = LegShape.FOLLOW_GROUND if draw.random() < 0.4 else LegShape.STRAIGHT
        path.append(PathPoint(here, height, Leg(shape)))
        here = travel(here, TrueBearing(draw.uniform(0, 360)), draw.uniform(50, 1500))
    plan = Plan(purpose=Purpose.PART_107, path=tuple(path))
    answer = assess(plan, charts)
    remedy = lower_path(answer, 10.0)
    if isinstance(remedy, NoRemedy):
        assert "above-height-limit" not in stops(answer) or "no room" in remedy.reason
        return
    after = assess(remedy.edit.apply(plan), charts)
    assert "above-height-limit" not in stops(after)
    assert remedy.after.height_room_m >= min(10.0, remedy.before.height_room_m) - 1e-3
