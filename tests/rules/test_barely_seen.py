"""What is told of an aircraft that is seen by less than the terrain may be wrong.

Expected heights follow from similar triangles, in the tests' own words; that uncertainty makes an act and
no stop is the project's own rule.
"""

import math

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.crossing_words import crossing_lines
from planner.briefing.moments import moments_of
from planner.briefing.sight_words import sight_lines
from planner.drawing.strip_rows import Look, strip_rows
from planner.plan.model import Purpose
from planner.rules.finding import Basis, Mark
from planner.rules.sight_axis import sight_axis
from planner.rules.verdict import Verdict
from planner.sight.along import Sight
from planner.sight.crossing import crossing_of
from tests import worlds
from tests.worlds import at, plan, points, world

PILOT, OBSERVER = plan().crew


def wall(east_m, _north_m):
    """A wall across, 20 m high, 60 m wide, 150 m east of HERE."""
    return np.where(np.abs(east_m - 150.0) < 31.0, worlds.GROUND_M + 20.0, worlds.GROUND_M)


def charts(error_m, *, assumed=False):
    ground = worlds.terrain(wall, cell_m=10.0, vertical_uncertainty_m=error_m)
    return world(terrain=attrs.evolve(ground, uncertainty_assumed=assumed))


def told(answer, rule="barely-seen"):
    return [one for one in answer.findings if one.rule == rule]


# The near edge of the wall is a node 120 m east and 20 m up. At 300 m east
# it is seen from 1.7 + 300 / 120 (20 - 1.7) = 47.45 m up, surely from 2.5 e higher.
LEAST_M, TIMES = 47.45, 2.5


def level_at(up_m):
    return points([(300, 0, up_m), (300, 20, up_m)])


@pytest.mark.parametrize(
    ("error_m", "up_m", "mark"),
    [
        (0.0, LEAST_M + 0.3, None),
        (2.0, LEAST_M + 0.3, Mark.ACT),
        (2.0, LEAST_M + 4.7, Mark.ACT),
        (2.0, LEAST_M + 5.3, None),
        (5.0, LEAST_M + 12.2, Mark.ACT),
        (5.0, LEAST_M + 12.8, None),
        (2.0, LEAST_M - 0.3, Mark.STOP),
    ],
)
def test_inside_the_error_is_something_to_do_and_below_it_hidden(error_m, up_m, mark):
    answer = assess(plan(path=level_at(up_m)), charts(error_m))
    marks = {one.mark for one in answer.findings if one.rule in ("barely-seen", "hidden-from-crew")}
    assert marks == ({mark} if mark else set())
    assert answer.verdict is (Verdict.MUST_CHANGE if mark is Mark.STOP else Verdict.READY)


def test_it_says_where_by_how_much_and_what_to_do():
    answer = assess(plan(path=level_at(LEAST_M + 1.0)), charts(2.0))
    (act,) = told(answer)
    assert (act.mark, act.basis) == (Mark.ACT, Basis.SAFETY)
    assert (act.from_m, act.to_m) == pytest.approx((0.0, answer.track.length_m))
    assert act.numbers["spare_m"] == pytest.approx(1.0, abs=0.1)
    assert act.numbers["uncertainty_m"] == pytest.approx(TIMES * 2.0, abs=0.1)
    assert "7 ft (2 m, as it states) higher than given" in act.message
    # 4 m are missing: raised by what the remedy says it is surely seen, by two feet less it is not.
    feet = int(act.remedy.split("fly ")[1].split(" ft")[0])
    for rise_ft, cured in ((feet, True), (feet - 2, False)):
        raised = plan(path=level_at(LEAST_M + 1.0 + worlds.ft(rise_ft)))
        assert bool(told(assess(raised, charts(2.0)))) is not cured
    nearer = attrs.evolve(OBSERVER, place=at(200)), attrs.evolve(PILOT, place=at(200))
    assert not told(assess(plan(path=level_at(LEAST_M + 1.0), crew=nearer), charts(2.0)))


def test_an_error_that_nobody_states_is_said_to_be_assumed():
    (act,) = told(assess(plan(path=level_at(LEAST_M + 1.0)), charts(5.0, assumed=True)))
    assert "17 ft (5 m, assumed, it states none)" in act.message


def test_it_holds_for_each_who_must_see_and_an_observer_who_sees_it_well_cures_the_other():
    path = level_at(LEAST_M + 1.0)
    well = attrs.evolve(OBSERVER, key="second", name="Second", place=at(300, -60))
    for purpose, crew, who in (
        (Purpose.PART_107, (PILOT, OBSERVER), "observer and remote pilot"),
        (Purpose.PART_107, (PILOT, OBSERVER, well), "remote pilot"),
        (Purpose.RECREATIONAL, (PILOT, OBSERVER), "observer"),
        (Purpose.RECREATIONAL, (PILOT, OBSERVER, well), None),
    ):
        found = told(assess(plan(purpose, path=path, crew=crew), charts(2.0)))
        names = {
            name.strip() for one in found for name in one.title.removeprefix("Barely seen by ").split(" and ")
        }
        assert names == (set(who.split(" and ")) if who else set()), (purpose, len(crew))


def test_the_stretch_goes_from_where_a_higher_wall_hides_it_to_where_the_given_one_does():
    # At 40 m: hidden beyond 120 * 38.3 / 18.3 = 251.1 m, maybe beyond 120 * 38.3 / 20.3 = 226.4 m.
    answer = assess(plan(path=points([(215, 0, 40.0), (290, 0, 40.0)])), charts(2.0))
    (act,), (stop,) = told(answer), told(answer, "hidden-from-crew")
    assert act.from_m == pytest.approx(11.4, abs=11.0)
    assert stop.from_m == pytest.approx(36.1, abs=11.0)
    assert act.to_m <= stop.from_m <= act.to_m + 11.0


def test_axis_json_strip_paper_and_cross_section_say_the_same():
    answer = assess(plan(path=level_at(LEAST_M + 1.0)), charts(2.0))
    axis = sight_axis(answer.case)
    assert {axis.sight_at(k) for k in range(len(answer.track))} == {Sight.BARELY}
    assert axis.spare_m[0] - axis.sure_spare_m[0] == pytest.approx(5.0, abs=0.1)
    written = check_json(answer)["sight"]
    assert set(written["reason"]) == {"barely-seen"}
    assert set(written["seen"]) == {True}
    row = next(row for row in strip_rows(answer) if row.name == "seen")
    assert [(run.look, run.words) for run in row.runs] == [(Look.ACT, "barely seen")]
    lines = " ".join(sight_lines(answer))
    assert "Barely seen" in lines
    assert "All of the path is in sight" not in lines
    assert any("barely seen by you" in moment.words for moment in moments_of(answer))
    crossing = crossing_of(answer.sight, answer.track, "observer", 0.0)
    assert crossing.barely
    # 120 m away the line passes 1 / 2.5 = 0.4 m over the edge, and 1.6 m under one that is 2 m higher.
    assert crossing.lifted.clearance_m == pytest.approx(-1.6, abs=0.05)
    assert any(line.startswith("Barely seen:") for line in crossing_lines(crossing))


def test_nothing_is_barely_seen_while_somebody_who_must_see_stands_nowhere():
    crew = (attrs.evolve(PILOT, place=None), OBSERVER)
    answer = assess(plan(path=level_at(LEAST_M + 1.0), crew=crew), charts(2.0))
    assert set(check_json(answer)["sight"]["reason"]) == {"unknown"}
    assert told(answer)


# ---- an area


def boxed(top_m):
    return worlds.area(worlds.box(280, -20, 300, 20), points([(0, 0, top_m)])[0].height)


def test_an_area_is_barely_seen_low_down_with_the_height_from_which_it_surely_is():
    answer = assess(plan(path=(), area=boxed(100.0)), charts(2.0))
    (low,) = told(answer, "area-seen-above")
    (act,) = told(answer, "area-barely-seen")
    assert (act.mark, act.basis) == (Mark.ACT, Basis.SAFETY)
    feet = {one.rule: float(one.message.split("seen only from ")[1].split(" ft")[0]) for one in (low, act)}
    # The farthest corner, 300.7 m away, over the same edge: 2 m of error count 2.5 times.
    apart_m = worlds.ft(feet["area-barely-seen"] - feet["area-seen-above"])
    assert apart_m == pytest.approx(5.0, abs=0.7)
    assert "not even at the top" not in act.message
    assert answer.verdict is Verdict.READY
    assert not told(assess(plan(path=(), area=boxed(100.0)), charts(0.0)), "area-barely-seen")


def test_an_area_whose_top_is_within_the_error_is_not_surely_seen_even_there():
    answer = assess(plan(path=(), area=boxed(LEAST_M + 1.0)), charts(2.0))
    (act,) = told(answer, "area-barely-seen")
    assert "not even at the top" in act.message
    assert not told(answer, "area-hidden")
    assert math.isclose(act.numbers["share"], 1.0)
