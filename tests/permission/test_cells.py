"""Which facility map cells a flight touches, and whether they cover all of it.

Source: the facility map flow chart (check_values 1.10, standing A): a flight in several cells takes the
lowest value. Cells are polygons, whose published corners may miss each other by 1e-5 degree (README of
the sample data): to touch within about a metre counts, and a gap of that width is no gap.
"""

import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.permission.cells import flight_lines
from planner.permission.request import _cells
from planner.plan.ground import GroundSpot, LandStatus
from planner.units import ft_from_m
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import GROUND_M, cell, ft, plan, points, volume, world


def values(cells, flight=None, airspace=None):
    """The lowest value touched [ft], None if unknown, and the keys touched."""
    charts = world(airspace=airspace or (volume(),), cells=cells)
    (need,) = assess(flight or plan(), charts).permissions
    lowest = need.cell_ceiling_agl_m
    return None if lowest is None else round(ft_from_m(lowest)), need.cells


def halves(gap_m):
    """Two cells that should meet 200 m east of the middle of the path."""
    west = cell(300, worlds.box(-9_000, -9_000, 200, 9_000), key="west")
    return west, cell(100, worlds.box(200 + gap_m, -9_000, 9_000, 9_000), key="east")


@pytest.mark.parametrize(("gap_m", "lowest"), [(-5, 100), (0, 100), (1, 100), (2, 100), (5, None)])
def test_a_gap_wider_than_rounding_leaves_the_value_unknown(gap_m, lowest):
    assert values(halves(gap_m)) == (lowest, ("east", "west"))


@pytest.mark.parametrize(("away_m", "lowest"), [(-3.0, 0), (0.5, 0), (3.0, 200)])
def test_a_cell_alongside_counts_from_a_metre_away(away_m, lowest):
    """The path runs along a cell of 0 ft at this distance."""
    beside = cell(0, worlds.box(-900, away_m, 900, 9_000), key="beside")
    cells = (cell(200, worlds.box(-9_000, -9_000, 9_000, 9_000), key="below"), beside)
    assert values(cells)[0] == lowest


def test_a_corner_clipped_by_a_metre_counts():
    """A sharp corner reaches 1 m across the path; no sample of the ground need lie there."""
    corner = cell(0, worlds.polygon([(100, -1), (600, 900), (-400, 900)]), key="corner")
    assert values((cell(400), corner))[0] == 0


def test_only_the_part_of_the_path_inside_the_airspace_counts():
    """Beyond the edge of the airspace cells have no say, low as they may be."""
    inside = volume(outline=worlds.box(-9_000, -9_000, 0, 9_000))
    cells = (cell(200, worlds.box(-9_000, -9_000, 50, 9_000)), cell(0, worlds.box(50, -9_000, 9_000, 9_000)))
    assert values(cells, airspace=(inside,))[0] == 200


def test_only_the_part_of_the_path_above_the_floor_counts():
    """Under a shelf nothing is asked for, so the cells passed there have no say."""
    shelf = volume(AirspaceKind.CLASS_C, floor=worlds.sea_level(GROUND_M + 60))
    path = points([(-500, 0, AboveSeaLevel(GROUND_M + 10)), (500, 0, AboveSeaLevel(GROUND_M + 110))])
    cells = (
        cell(0, worlds.box(-9_000, -9_000, -20, 9_000), key="under"),
        cell(300, worlds.box(-20, -9_000, 9_000, 9_000), key="above"),
    )
    assert values(cells, plan(path=path), (shelf,)) == (300, ("above",))


def test_an_area_touches_every_cell_it_covers():
    outline = worlds.box(-150, -150, 150, 150)
    flight = plan(path=(), area=worlds.area(outline, AboveGround(ft(90))))
    quarter = cell(50, worlds.box(140, 140, 9_000, 9_000), key="quarter")
    assert values((cell(400), quarter), flight)[0] == 50
    hole = worlds.box(-9_000, -9_000, 9_000, 9_000) - worlds.box(20, 20, 40, 40)
    assert values((cell(400, hole, key="with a hole"),), flight)[0] is None


def test_launch_and_landing_touch_cells_too():
    """The path lies in 400, the launch point in 0."""
    cells = (
        cell(400, worlds.box(-9_000, -1_000, 9_000, 9_000)),
        cell(0, worlds.box(-9_000, -9_000, 9_000, -1_000)),
    )
    assert values(cells)[0] == 400
    away = plan(launch=GroundSpot(worlds.at(0, -1_500), LandStatus.OWN))
    assert values(cells, away)[0] == 0


def test_straight_up_over_one_place_touches_its_cell():
    """Launched in a cell of 400 and climbed in one of 0: the lowest counts (check_values 1.10)."""
    cells = (
        cell(400, worlds.box(-9_000, -1_000, 9_000, 9_000), key="launch"),
        cell(0, worlds.box(-9_000, -9_000, 9_000, -1_000), key="climb"),
    )
    path = points([(0, -1_500, AboveGround(10.0)), (0, -1_500, AboveGround(60.0))])
    launched = GroundSpot(worlds.at(0, 0), LandStatus.OWN)
    assert values(cells, plan(path=path, launch=launched, landing=launched)) == (0, ("climb", "launch"))


def test_two_samples_are_a_line_and_one_is_a_point():
    """What lies between two samples is flown too, so the cells between are touched."""
    x_m, y_m = np.array([0.0, 100.0, 200.0, 300.0]), np.zeros(4)
    lines = flight_lines(x_m, y_m, np.array([True, True, False, True]))
    assert lines.length == 100.0
    assert lines.distance(shapely.Point(50.0, 0.0)) == 0.0
    assert lines.distance(shapely.Point(300.0, 0.0)) == 0.0


@pytest.fixture(scope="module")
def cross():
    """A middle cell 1 km wide, and one on each side of it."""
    sides = {
        "west": (-2_000, -400, -500, 400),
        "east": (500, -400, 2_000, 400),
        "south": (-400, -2_000, 400, -500),
        "north": (-400, 500, 400, 2_000),
        "m": (-500, -500, 500, 500),
    }
    made = tuple(cell(100, worlds.box(*box), key=key) for key, box in sides.items())
    return assess(plan(), world(airspace=(volume(),), cells=made)).case.mapped


@pytest.mark.parametrize(
    ("side", "east", "north"), [("west", -1, 0), ("east", 1, 0), ("south", 0, -1), ("north", 0, 1)]
)
@pytest.mark.parametrize(("apart_m", "touched"), [(0.9, True), (1.3, False)])
def test_a_request_asks_for_cells_that_its_area_misses_by_a_rounding(
    side, east, north, apart_m, touched, cross
):
    """The area begins so far within the middle cell."""
    mapped = cross
    column = next(number for number, one in mapped.cells.items() if one.key == side)
    low_x, low_y, high_x, high_y = mapped.outlines.polygon(column).bounds
    # The edge of the cell on that side that faces the middle, and from there inward.
    x_m = {-1: high_x + apart_m, 0: 0.0, 1: low_x - apart_m}[east]
    y_m = {-1: high_y + apart_m, 0: 0.0, 1: low_y - apart_m}[north]
    inward = shapely.box(
        min(x_m, x_m - 50 * east) - 5 * abs(north), min(y_m, y_m - 50 * north) - 5 * abs(east),
        max(x_m, x_m - 50 * east) + 5 * abs(north), max(y_m, y_m - 50 * north) + 5 * abs(east),
    )  # fmt: skip
    assert {one.key for one in _cells(mapped, inward).cells} == ({"m", side} if touched else {"m"})
