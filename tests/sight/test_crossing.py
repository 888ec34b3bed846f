"""A line of sight laid open: its numbers are those of the line, its picture shows what they say."""

import re

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.assess import assess
from planner.briefing.crossing_words import crossing_lines
from planner.drawing.crossing_picture import crossing_picture
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.sight.crossing import crossing_of
from planner.sight.line import line_of_sight
from planner.sight.spot import Spot
from tests import worlds
from tests.worlds import plan, points, world


def wall(east_m, _north_m):
    """A wall 10 m high, 60 m wide, 100 m east of HERE."""
    return np.where(np.abs(east_m - 100.0) < 31.0, worlds.GROUND_M + 10.0, worlds.GROUND_M)


@pytest.fixture(scope="module")
def over_wall():
    path = points([(200, 0, 2.0), (200, 40, 40.0)])
    return assess(plan(path=path), world(terrain=worlds.terrain(wall)))


def opened(answer, distance_m):
    return crossing_of(answer.sight, answer.track, answer.sight.people[0].key, distance_m)


@settings(max_examples=60, deadline=None)
@given(share=st.floats(0.0, 1.0))
def test_it_is_the_line_that_is_judged(over_wall, share):
    """Against `line_of_sight`, itself held against dense rays and analytic worlds."""
    track, sight = over_wall.track, over_wall.sight
    crossing = opened(over_wall, share * track.length_m)
    x_m, y_m, amsl_m = (
        np.interp(share * track.length_m, track.distance_m, axis)
        for axis in (track.x_m, track.y_m, track.planned_amsl_m)
    )
    ground_m = sight.surfaces.ground.ground(np.array([x_m]), np.array([y_m]))[0]
    judged = line_of_sight(sight.surfaces, sight.viewers[0].eye, Spot(x_m, y_m, amsl_m, ground_m))
    assert crossing.line == judged
    section = crossing.section
    gap_m = section.line_amsl_m - section.ground_amsl_m
    # No sample of the section is tighter than the exact least, and the least is met to a centimetre.
    assert gap_m.min() >= judged.clearance_m - 1e-6
    assert np.interp(judged.clearance_at_m, section.distance_m, gap_m) == pytest.approx(
        judged.clearance_m, abs=0.01
    )
    assert (crossing.line.clear is False) == bool(gap_m.min() < -0.001)


def test_the_wall_is_cleared_from_18_30_m_up(over_wall):
    """Flat ground, eye 1.7 m, wall of 10 m half-way (check values, section 3, standing B): 18.3013 m.

    The raster puts the near edge of the wall elsewhere than half-way; the same formula is
    taken for where the line touches, and that must be the top of the wall.
    """
    crossing = opened(over_wall, 0.0)
    needed_m = 2.0 - crossing.line.spare_m
    edge_m = crossing.line.spare_at_m
    expected_m = 1.7 + crossing.line.length_m / edge_m * (10.0 - 1.7)
    assert needed_m == pytest.approx(expected_m, abs=0.02)
    assert crossing.line.clear is False
    assert 60.0 < edge_m < 110.0


def test_where_it_is_tightest_is_told_of_what_is_between_not_of_the_eyes_own_height(over_wall):
    crossing = opened(over_wall, over_wall.track.length_m)
    clears_m, at_m = crossing.tightest
    section = crossing.section
    gap_m = np.interp(at_m, section.distance_m, section.line_amsl_m - section.ground_amsl_m)
    assert clears_m == pytest.approx(gap_m, abs=0.01)
    assert 60.0 < at_m < 110.0
    # Lowered by its spare it touches right there (`Line`, itself tested against dense rays).
    assert clears_m == pytest.approx(crossing.line.spare_m * at_m / crossing.line.length_m)
    hidden = opened(over_wall, 0.0)
    assert hidden.tightest == (hidden.line.clearance_m, hidden.line.clearance_at_m)


def test_the_bow_is_curvature_less_refraction(over_wall):
    """A quarter of the drop over the whole distance: check values, section 3, k = 1/7, standing B."""
    crossing = opened(over_wall, 0.0)
    drop_at_500_m = 0.0168
    assert crossing.sag_m == pytest.approx(
        drop_at_500_m * (crossing.line.length_m / 500.0) ** 2 / 4, rel=0.01
    )
    section = crossing.section
    chord_m = np.interp(section.distance_m, section.distance_m[[0, -1]], section.line_amsl_m[[0, -1]])
    assert (chord_m - section.line_amsl_m).max() == pytest.approx(crossing.sag_m, rel=0.01)


def test_picture_and_words_say_hidden_and_free(over_wall):
    hidden, free = opened(over_wall, 0.0), opened(over_wall, over_wall.track.length_m)
    low, high = crossing_lines(hidden), crossing_lines(free)
    assert low[0].startswith("Hidden: ")
    assert high[0].startswith("Free: ")
    assert any("trees and buildings are not checked" in line for line in low)
    held = attrs.evolve(free.surfaces, cover=free.surfaces.ground)
    assert not any("not checked" in line for line in crossing_lines(attrs.evolve(free, surfaces=held)))
    assert all(re.search(r"ft \([\d.,]+ m\)", line) for line in (low[0], low[1], high[0], high[1]))
    below, above = (crossing_picture(one, 600.0, 240.0) for one in (hidden, free))
    assert "under</text>" in below
    assert "clears by" in above
    assert below.count("stroke-dasharray") > above.count("stroke-dasharray")
    assert "from the eye" in below


def test_beyond_the_range_the_words_and_marks_say_which_range_holds():
    """A quad of 35 cm: attitude judged to 134.45 m (European guidance, standing B, no US legal force)."""
    member = plan().crew[0]
    crew = tuple(worlds.attrs.evolve(one, tried_ranges=()) for one in plan().crew)
    answer = assess(plan(path=points([(300, 0, 30.0), (300, 60, 30.0)]), crew=crew), world())
    crossing = crossing_of(answer.sight, answer.track, member.key, 0.0)
    lines = crossing_lines(crossing)
    assert any("Farther than tried" in line and "judged to 134 m" in line for line in lines)
    assert "estimate: 441 ft" in crossing_picture(crossing, 600.0, 240.0)


def test_unknown_ground_is_said_and_hatched():
    holed = worlds.terrain(lambda east, north: np.where(np.abs(east - 100) < 31, np.nan, worlds.GROUND_M))
    answer = assess(plan(path=points([(220, 0, 20.0), (220, 60, 20.0)])), world(terrain=holed))
    crossing = opened(answer, 0.0)
    assert "Not known" in crossing_lines(crossing)[0]
    assert "ground not known" in crossing_picture(crossing, 600.0, 240.0)


def test_nobody_gives_no_line(over_wall):
    assert crossing_of(over_wall.sight, over_wall.track, "nobody", 0.0) is None


def test_what_stands_in_the_way_is_drawn_and_named_and_a_guess_has_a_question_mark():
    """The same analytic wall as a building 5 m deep, and one whose height nobody gives."""
    corners = tuple(worlds.at(*one) for one in ((90, -30), (95, -30), (95, 30), (90, 30)))
    for height_m, said, drawn in (
        (12.0, "the top of the building “barn”", ">barn<"),
        (None, "low over", ">barn?<"),
    ):
        barn = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, corners, "barn", height_m=height_m)
        answer = assess(plan(path=points([(150, 0, 10.0), (150, 40, 10.0)]), beneath=(barn,)), world())
        crossing = opened(answer, 0.0)
        lines = crossing_lines(crossing)
        assert said in lines[0]
        assert any("only what is drawn or charted is checked" in line for line in lines)
        assert drawn in crossing_picture(crossing, 600.0, 240.0)


def test_the_ground_under_the_eye_is_no_obstacle(over_wall, monkeypatch):
    crossing = opened(over_wall, over_wall.track.length_m)
    monkeypatch.setattr(type(crossing), "tightest", property(lambda _self: (1.7, 0.0)))
    told = crossing_lines(crossing)[0]
    assert "in the way by" not in told
    assert told.startswith("Free: nothing on the way")
