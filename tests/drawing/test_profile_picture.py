"""The profile on paper: right heights at right distances, holes where nothing is known."""

import re
import xml.etree.ElementTree as ElementTree

import attrs
import numpy as np
import pytest

from planner.drawing.ink import ASK_BLUE, GROUND_EDGE
from planner.drawing.profile_axes import axes_for, draw_axes
from planner.drawing.profile_picture import profile_picture, runs
from planner.rules.verdict import Verdict
from tests.briefing import made

SVG = "{http://www.w3.org/2000/svg}"
WIDTH, HEIGHT = 532.0, 178.0


def parsed(answer):
    return ElementTree.fromstring(profile_picture(answer, WIDTH, HEIGHT))


def points_of(root, stroke):
    found = [path.get("d") for path in root.iter(f"{SVG}path") if path.get("stroke") == stroke]
    return [np.array(re.findall(r"([-\d.]+) ([-\d.]+)", data), dtype=float) for data in found]


def test_ground_is_drawn_where_the_figures_beside_the_axis_say():
    answer = made.assessment(Verdict.READY)
    root = parsed(answer)
    (ground,) = [points for points in points_of(root, GROUND_EDGE) if len(points) > 2]
    figures = {
        float(text.text.replace(",", "")): float(text.get("y")) - 3
        for text in root.iter(f"{SVG}text")
        if text.get("text-anchor") == "end" and re.fullmatch(r"-?[\d,]+", text.text or "")
    }
    (low_ft, low_y), *_, (high_ft, high_y) = sorted(figures.items())
    read_ft = low_ft + (ground[:, 1] - low_y) / (high_y - low_y) * (high_ft - low_ft)
    assert read_ft == pytest.approx(answer.track.ground_amsl_m / 0.3048, abs=8)


def test_ceiling_to_ask_for_is_drawn_only_where_it_is_more():
    answer = made.assessment(Verdict.READY)
    drawn = [points for points in points_of(parsed(answer), ASK_BLUE) if len(points) > 2]
    assert len(drawn) == 1
    axes_end = drawn[0][:, 0].max()
    same = made.assessment(Verdict.READY)
    same = attrs.evolve(
        same, profile=attrs.evolve(same.profile, requestable_amsl_m=same.profile.ceiling_amsl_m)
    )
    assert not [points for points in points_of(parsed(same), ASK_BLUE) if len(points) > 2]
    assert axes_end < 0.5 * WIDTH


def test_unknown_ground_leaves_a_hole_and_says_so():
    answer = made.assessment(Verdict.UNDETERMINED)
    ground = answer.track.ground_amsl_m.copy()
    ground[60:130] = np.nan
    holed = attrs.evolve(answer, track=attrs.evolve(answer.track, ground_amsl_m=ground))
    root = parsed(holed)
    assert "ground not known" in ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert len([points for points in points_of(root, GROUND_EDGE) if len(points) > 2]) == 2


def test_a_ceiling_without_end_does_not_stretch_the_paper():
    answer = made.assessment(Verdict.READY)
    endless = np.full(len(answer.track), np.inf)
    answer = attrs.evolve(answer, profile=attrs.evolve(answer.profile, requestable_amsl_m=endless))
    assert "inf" not in profile_picture(answer, WIDTH, HEIGHT)
    assert "nan" not in profile_picture(answer, WIDTH, HEIGHT)


def test_no_path_no_picture():
    assert profile_picture(made.assessment(made=made.plan(path=())), WIDTH, HEIGHT) == ""


@pytest.mark.parametrize("length_m", [0.5, 30.0, 999.0, 2000.0, 47_000.0])
@pytest.mark.parametrize("relief_m", [0.0, 3.0, 2500.0])
def test_axes_carry_a_few_figures_at_any_size(length_m, relief_m):
    axes = axes_for(WIDTH, HEIGHT, length_m, np.array([10.0, 10.0 + relief_m]))
    for anchor in ("end", "middle"):
        figures = re.findall(rf'text-anchor="{anchor}"[^>]*>(-?[\d,.]+)<', draw_axes(axes))
        assert 2 <= len(figures) <= 9
        assert len(set(figures)) == len(figures)


def test_runs_are_the_stretches_of_true():
    known = np.array([True, True, False, True, False, True, True, True])
    assert [(run.start, run.stop) for run in runs(known)] == [(0, 2), (5, 8)]
