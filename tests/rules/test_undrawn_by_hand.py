"""The straight way that is not drawn as a line with heights: its samples, pieces and ends by hand."""

import numpy as np
import pytest
import shapely

from planner.assess import assess_live
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.undrawn import UndrawnWay, hand_on_ways, launch_ground_m, ways_not_drawn
from tests.worlds import GROUND_M, at, plan, points, terrain, world

N = 201
WAY = UndrawnWay(
    "there", shapely.LineString([(40, 10), (240, 110)]), np.full(N, 5.0), np.linspace(10.0, 30.0, N)
)


def piece(*shares):
    """The part of the way between two shares of it."""
    return shapely.LineString([(40 + 200 * share, 10 + 100 * share) for share in shares])


def test_places_and_heights_go_evenly_from_end_to_end():
    shares = np.array([0.0, 0.25, 1.0])
    np.testing.assert_allclose(WAY.height_amsl_m(shares), [10.0, 15.0, 30.0])
    np.testing.assert_allclose(WAY.places(shares), [(40, 10), (90, 35), (240, 110)])
    np.testing.assert_allclose(WAY.shares, np.arange(N) / 200)
    assert not WAY.is_column


@pytest.mark.parametrize("turned", [False, True])
def test_on_a_piece_lie_its_ends_and_the_samples_between(turned):
    shares = WAY.shares_on(piece(*((0.413, 0.202) if turned else (0.202, 0.413))))
    np.testing.assert_allclose(shares, [0.202, *(np.arange(41, 83) / 200), 0.413], atol=1e-9)


def test_of_several_pieces_each_has_its_ends():
    shares = WAY.shares_on(shapely.MultiLineString([piece(0.101, 0.104), piece(0.902, 0.911)]))
    np.testing.assert_allclose(shares, [0.101, 0.104, 0.902, 0.905, 0.91, 0.911], atol=1e-9)
    # A single place, as where only a corner is touched, is a piece without any length.
    np.testing.assert_allclose(WAY.shares_on(shapely.Point(140, 60)), [0.5, 0.5], atol=1e-9)


def test_over_a_piece_lie_the_samples_beside_its_ends_as_well():
    over = np.flatnonzero(WAY.over(piece(0.202, 0.413)))
    # 0.197 to 0.418: from the 40th sample, 0.2, to the 83rd, 0.415.
    assert (over[0], over[-1], len(over)) == (40, 83, 44)


def test_the_ways_lead_from_the_ground_where_it_is_to_the_path_as_high_as_it_begins_and_ends():
    """Ground that rises by 0.1 eastward and 0.05 northward: bilinear ground is exact on it."""

    def ground_m(east_m, north_m):
        return GROUND_M + 0.1 * east_m + 0.05 * north_m

    spots = {"launch": GroundSpot(at(-300, 200), LandStatus.OWN), "landing": GroundSpot(at(500, -400))}
    path = points([(100, -50, 30.0), (200, 80, 40.0), (150, 300, 50.0)])
    case = assess_live(plan(path=path, **spots), world(terrain=terrain(ground_m))).case
    out, back = ways_not_drawn(case, case.mapped)
    for way, (spot, end, height_m) in (
        (out, ((-300, 200), (100, -50), 30.0)),
        (back, ((500, -400), (150, 300), 50.0)),
    ):
        ends = [case.mapped.frame.place_to_xy(at(*one)) for one in (spot, end)]
        np.testing.assert_allclose(way.line.coords, ends, atol=0.01)
        east_m, north_m = (np.linspace(*axis, N) for axis in zip(spot, end, strict=True))
        # The raster's north is not ours: at 2.8 degrees from its meridian it is turned by 1.7 degrees.
        np.testing.assert_allclose(way.ground_amsl_m, ground_m(east_m, north_m), atol=2.5)
        first_m, last_m = ground_m(*spot), ground_m(*end) + height_m
        np.testing.assert_allclose(way.planned_amsl_m, np.linspace(first_m, last_m, N), atol=2.5)
        assert way.planned_amsl_m[0] == way.ground_amsl_m[0]
    assert launch_ground_m(case) == pytest.approx(float(out.ground_amsl_m[0]))


def test_ways_found_once_are_handed_on_and_not_looked_for_again():
    first, second = (assess_live(plan(), world()).case for _ in range(2))
    found = ways_not_drawn(first, first.mapped)
    assert found
    assert ways_not_drawn(second, first.mapped) is not found
    fresh = assess_live(plan(), world()).case
    hand_on_ways(first, fresh)
    assert ways_not_drawn(fresh, first.mapped) is found
