"""Ceilings over single places and over ways that are no part of the path, such as a way home.

Level ground; 400 ft above it (14 CFR 107.51(b), check_values 1.1, standing B).
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.over_ways import over_ways
from planner.ceiling.places import places_at
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, above_ground, at, box, ft, plan, terrain, volume, world

EAST_M = np.array([-700.0, -300.0, 0.0, 300.0, 1_200.0])


def scene(*airspace, **changes):
    return assess_live(plan(), world(airspace=airspace, **changes)).scene


def on_the_ground(charts):
    """Plane positions of places along a line from west to east, and of one far to the north."""
    xy = [charts.mapped.frame.place_to_xy(at(float(east), 100.0)) for east in EAST_M]
    xy.append(charts.mapped.frame.place_to_xy(at(0.0, 1_000.0)))
    x_m, y_m = np.array(xy).T
    return x_m, y_m


def test_each_place_has_its_own_ground_and_lies_in_its_own_outlines():
    ground = terrain(lambda east_m, _: GROUND_M + 0.1 * east_m, cell_m=10.0, cells=301)
    west = volume(AirspaceKind.RESTRICTED, box(-800, 0, -200, 200), name="WEST")
    north = volume(AirspaceKind.RESTRICTED, box(-100, 900, 100, 1_100), name="NORTH")
    nobody = volume(AirspaceKind.RESTRICTED, box(500, 400, 600, 500), name="NOBODY")
    charts = scene(west, north, nobody, terrain=ground)
    places = places_at(charts, *on_the_ground(charts))
    named = charts.mapped.airspace
    columns = {
        named[column].name: mask.tolist() for column, mask in places.columns.items() if column in named
    }
    assert columns == {
        "WEST": [True, True, False, False, False, False],
        "NORTH": [False, False, False, False, False, True],
    }
    # UTM's north is turned by 1.7 degrees here: up to 3 m along the slope.
    assert places.ground_amsl_m[:5] - GROUND_M == pytest.approx(0.1 * EAST_M, abs=0.5)
    assert not any(places.inside_outline(column).any() for column in (98, 99))
    assert np.isnan(places.planned_amsl_m).all()
    assert not places.is_surface


@pytest.mark.parametrize(
    ("flown_ft", "expected_ft"),
    [
        (100, [0, 0, 400, 400, 400, 300]),
        (350, [400, 400, 400, 400, 400, 300]),  # over the closed area in the west, in that in the north
    ],
)
def test_a_way_is_held_against_the_airspace_at_its_own_height(flown_ft, expected_ft):
    """West: closed from the ground to 200 ft; north: closed from 300 ft up."""
    west = volume(AirspaceKind.RESTRICTED, box(-800, 0, -200, 200), top=above_ground(ft(200)), name="WEST")
    north = volume(
        AirspaceKind.RESTRICTED, box(-100, 900, 100, 1_100), floor=above_ground(ft(300)), name="NORTH"
    )
    charts = scene(west, north)
    x_m, y_m = on_the_ground(charts)
    found = over_ways(charts, x_m, y_m, np.full(6, GROUND_M + ft(flown_ft))).ceiling.amsl_m
    assert (found - GROUND_M) / ft(1) == pytest.approx(expected_ft, abs=0.01)


def test_no_places_and_unknown_ground():
    charts = scene(terrain=None)
    assert over_ways(charts, np.empty(0), np.empty(0), np.empty(0)).ceiling.amsl_m.tolist() == []
    assert np.isnan(over_ways(charts, np.zeros(1), np.zeros(1), np.array([500.0])).ceiling.amsl_m).all()
