"""The boxes that say not to fly: what their numbers rest on."""

import attrs
import pytest

from planner.assess import assess
from planner.briefing.no_go import cloud_words, no_go_boxes
from planner.chart_folders import known_chart_sets
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from planner.plan.geometry import Area
from planner.surroundings import surroundings


@pytest.fixture(scope="module")
def mission():
    plan = read_plan(demo_missions_dir() / "ridge_line.lowline.geojson")
    return plan, surroundings(plan, known_sets=known_chart_sets())


def around(plan, top):
    lon, lat = plan.path[0].place.lon_deg, plan.path[0].place.lat_deg
    ring = [(-0.02, -0.02), (0.02, -0.02), (0.02, 0.02), (-0.02, 0.02)]
    return attrs.evolve(plan, area=Area(tuple(Place(lon + east, lat + north) for east, north in ring), top))


def test_an_area_that_only_bounds_the_path_changes_no_number(mission):
    plan, world = mission
    bounded = assess(around(plan, None), world)
    assert no_go_boxes(bounded) == no_go_boxes(assess(plan, world))


def test_an_area_with_a_top_counts_with_its_highest_place(mission):
    plan, world = mission

    def base_ft(answer):
        return int("".join(letter for letter in cloud_words(answer) if letter.isdigit()))

    assert base_ft(assess(around(plan, AboveGround(100.0)), world)) > base_ft(assess(plan, world))
