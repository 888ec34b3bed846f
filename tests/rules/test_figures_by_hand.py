"""Figures of which height and length are put in by hand: what counts as coming down, and where it is told.

That a dive comes down is what the word means; a centimetre that counts as level is an own choice.
"""

import math

import attrs
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.plan import edits
from planner.plan.figure_shapes import DiveShape
from planner.plan.figures import Figure, FigureKind
from planner.rules.figures import figures
from tests.worlds import at, plan, world

SHAPE = DiveShape(at(0, 0), at(80, 0), AboveGround(100.0), AboveGround(40.0))


def dive(name="", **said):
    figure = Figure("dive", FigureKind.DIVE, subject=SHAPE.subject, name=name, **said)
    return assess_live(edits.LayFigure(0, figure, SHAPE.points()).apply(plan(path=())), world()).case


DIVE = dive(call="NOW", bail_out=at(0, -150))
FIRST, LAST = DIVE.track.point_sample[[0, -1]]


def ends(top_m, bottom_m):
    heights = DIVE.track.planned_amsl_m.copy()
    heights[FIRST], heights[LAST] = top_m, bottom_m
    return list(figures(attrs.evolve(DIVE, track=attrs.evolve(DIVE.track, planned_amsl_m=heights))))


@pytest.mark.parametrize(
    ("bottom_m", "words"),
    [
        (499.0, None),
        (499.98, None),
        (499.995, "Its exit is 0 ft above its entry"),
        (500.0, "Its exit is 0 ft above its entry"),
        # 10 m are 32.8 ft.
        (510.0, "Its exit is 33 ft above its entry"),
        (math.nan, None),
    ],
)
def test_what_does_not_end_lower_is_no_dive(bottom_m, words):
    found = ends(500.0, bottom_m)
    assert [one.rule for one in found] == (["dive-does-not-descend"] if words else [])
    for one in found:
        assert words in one.message
        assert one.numbers == pytest.approx({"rise_m": bottom_m - 500.0}, abs=1e-9)


def test_a_dive_a_centimetre_lower_comes_down_no_more_than_a_level_one():
    top_m = 512.0
    assert not ends(top_m, top_m - 0.0101)
    assert ends(top_m, top_m - 0.01)


def test_a_figure_on_a_path_of_unknown_length_is_told_without_its_ends():
    silent = dive()
    assert [(one.from_m, one.to_m) for one in figures(silent)] == [(0.0, silent.track.length_m)] * 2
    along_m = silent.track.distance_m.copy()
    along_m[LAST] = math.nan
    lost = attrs.evolve(silent, track=attrs.evolve(silent.track, distance_m=along_m))
    assert [(one.from_m, one.to_m) for one in figures(lost)] == [(None, None)] * 2


def test_a_long_name_is_cut_and_its_breaks_taken_out():
    found = list(figures(dive(name="A\nB " + "C" * 80)))
    assert found
    for one in found:
        named = one.title.split(":")[0]
        assert len(named) == 60
        assert "A B CCC" in named
