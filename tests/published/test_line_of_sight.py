"""Curvature, horizon and analytic worlds of the line of sight.

Drops: (1 - k) d^2 / (2 R), R = 6,371,008.8 m, as general terrain tools compute
them (k = 1/7 is their default since 2021). Standing B; figures computed from
the formula. Horizons: the same and the rules of thumb 3.57 and 4.12 sqrt(h).
Analytic worlds: worked out by hand beside each.
"""

import math

import attrs
import numpy as np
import pytest

from planner.sight.curvature import EARTH_RADIUS_M, REFRACTION, bend_per_m, drop_m, horizon_m
from planner.sight.line import line_of_sight
from planner.sight.lines import Outlook, Targets, lines_to
from planner.sight.spot import spot_above_ground
from planner.sight.surfaces import Surfaces
from tests.sight.grounds import plane_ground

DROPS = [
    # distance, geometric, k 0.13, k 1/7, k 0.25
    (500.0, 0.0196, 0.0171, 0.0168, 0.0147),
    (1000.0, 0.0785, 0.0683, 0.0673, 0.0589),
    (1609.344, 0.2033, 0.1768, 0.1742, 0.1524),
    (2000.0, 0.3139, 0.2731, 0.2691, 0.2354),
    (5000.0, 1.9620, 1.7070, 1.6817, 1.4715),
]
HORIZONS = [
    # height, geometric, k 0.13, k 1/7, equivalent radius 8,500 km [km]
    (1.7, 4.654, 4.990, 5.027, 5.376),
    (10.0, 11.288, 12.102, 12.192, 13.038),
    (121.92, 39.415, 42.257, 42.573, 45.526),
]
SHARES = (0.0, 0.13, 1 / 7, 0.25)
K_8500_KM = 1 - EARTH_RADIUS_M / 8_500_000.0
NO_CURVATURE = 1.0


@pytest.mark.parametrize("row", DROPS)
def test_drop(row):
    distance_m, *drops_m = row
    found_m = [drop_m(distance_m, share) for share in SHARES]
    assert found_m == pytest.approx(drops_m, abs=0.001)


def test_refraction_is_the_one_that_terrain_tools_take():
    """1 - k = 0.85714 by default in general terrain tools since 2021 (standing B)."""
    assert pytest.approx(0.85714, abs=5e-6) == 1 - REFRACTION
    assert drop_m(1000.0) == pytest.approx(0.0673, abs=0.0001)


def test_the_drops_that_the_wall_is_reckoned_with():
    """0.67 mm at 100 m and 2.69 mm at 200 m with k = 1/7 (computed); the wall's 18.3 m become 18.3013 m."""
    assert drop_m(100.0) == pytest.approx(0.00067, abs=5e-6)
    assert drop_m(200.0) == pytest.approx(0.00269, abs=5e-6)
    # Over the wall half-way the line sags by a quarter of the drop of the whole, and that counts twice.
    assert 2 * drop_m(200.0) / 4 == pytest.approx(18.3013 - 18.3, abs=5e-5)


def test_under_a_kilometre_curvature_is_less_than_8_cm():
    assert drop_m(1000.0, 0.0) < 0.08


@pytest.mark.parametrize("row", HORIZONS)
def test_horizon(row):
    height_m, *horizons_km = row
    found_km = [horizon_m(height_m, share) / 1000 for share in (*SHARES[:3], K_8500_KM)]
    assert found_km == pytest.approx(horizons_km, rel=0.005)
    assert found_km[0] == pytest.approx(3.57 * math.sqrt(height_m), rel=0.005)
    assert found_km[3] == pytest.approx(4.12 * math.sqrt(height_m), rel=0.005)


def least_height_m(relief, target_x_m, refraction, eye_m=1.7, cell_m=10.0):
    """The lowest height above ground at which a target east of the eye is seen.

    By the one exact line; the many at once that paths and areas are judged by say the same to 1 cm.
    """
    ground = plane_ground(relief, cell_m)
    surfaces = Surfaces(ground)
    eye = spot_above_ground(0.0, 0.0, eye_m, ground)
    probe = spot_above_ground(target_x_m, 0.0, 100.0, ground)
    least_m = 100.0 - line_of_sight(surfaces, eye, probe, refraction).spare_m
    for above_m, hidden in ((100.0, False), (least_m + 0.01, False), (least_m - 0.01, True)):
        end = spot_above_ground(target_x_m, 0.0, above_m, ground)
        ends = Targets(*(np.array([value]) for value in attrs.astuple(end)))
        lines = lines_to(
            Outlook.over(surfaces, (-50.0, -50.0, target_x_m + 50.0, 50.0)), eye, ends, refraction
        )
        assert bool(lines.hidden[0]) is hidden
        assert lines.spare_m[0] == pytest.approx(above_m - least_m, abs=0.01)
    return least_m


@pytest.mark.parametrize(("refraction", "least_m"), [(NO_CURVATURE, 18.30), (1 / 7, 18.3013)])
def test_wall(refraction, least_m):
    # Eye 1.7 m, wall 10 m at 100 m, target at 200 m: 1.7 + 2 (10 - 1.7), and 1.3 mm for curvature.
    found_m = least_height_m(lambda x, _y: np.where(x == 100.0, 10.0, 0.0), 200.0, refraction)
    assert found_m == pytest.approx(least_m, abs=0.01)
    assert found_m == pytest.approx(least_m, abs=0.0002)


def test_step():
    # Ground 5 m higher from 50 m on: the edge at 50 m is 3.3 m above the eye, at 250 m the line is
    # 1.7 + 5 * 3.3 = 18.2 m above the lower ground, 13.2 m above the upper one.
    found_m = least_height_m(lambda x, _y: np.where(x >= 50.0, 5.0, 0.0), 250.0, NO_CURVATURE)
    assert found_m == pytest.approx(13.2, abs=0.01)


def test_cone():
    # A cone of 40 m at 200 m east, falling 0.2 a metre: straight over its top, at 300 m on its far flank
    # (20 m), the line is 1.7 + 1.5 * 38.3 = 59.15 m above the plain, 39.15 m above the flank.
    found_m = least_height_m(
        lambda x, y: np.maximum(0.0, 40.0 - 0.2 * np.hypot(x - 200.0, y)), 300.0, NO_CURVATURE
    )
    assert found_m == pytest.approx(39.15, abs=0.01)


def test_cone_passed_by():
    # Along y = 40 m from the eye at the cone's side: 0 to 400 m, both ends 60 m up, the flank's highest
    # point below the line is 40 - 0.2 * 40 = 32 m: clearance 28 m. Raster of 1 m, so that a bilinear
    # cone is within 1 cm of a round one there.
    relief = lambda x, y: np.maximum(0.0, 40.0 - 0.2 * np.hypot(x - 200.0, y))  # noqa: E731
    ground = plane_ground(relief, cell_m=1.0)
    eye = spot_above_ground(0.0, 40.0, 60.0, ground)
    target = spot_above_ground(400.0, 40.0, 60.0, ground)
    found = line_of_sight(Surfaces(ground), eye, target, NO_CURVATURE)
    assert found.clearance_m == pytest.approx(28.0, abs=0.01)
    assert found.clearance_at_m == pytest.approx(200.0, abs=1.0)


@pytest.mark.parametrize("refraction", [0.0, 1 / 7])
def test_curvature_alone(refraction):
    # Over a level sea an eye and a target see each other up to the sum of their horizons;
    # a centimetre lower at that distance the target is hidden by a centimetre.
    eye_m, target_m = 0.02, 0.05
    reach_m = horizon_m(eye_m, refraction) + horizon_m(target_m, refraction)
    ground = plane_ground(lambda x, _y: 0.0 * x, cell_m=50.0, half_m=2000.0)
    eye = spot_above_ground(-reach_m / 2, 0.0, eye_m, ground)
    found = line_of_sight(
        Surfaces(ground), eye, spot_above_ground(reach_m / 2, 0.0, target_m, ground), refraction
    )
    assert found.clearance_m == pytest.approx(0.0, abs=1e-6)
    assert found.clearance_at_m == pytest.approx(horizon_m(eye_m, refraction), abs=1.0)
    sunk = line_of_sight(
        Surfaces(ground), eye, spot_above_ground(reach_m / 2, 0.0, target_m - 0.01, ground), refraction
    )
    assert sunk.spare_m == pytest.approx(-0.01, abs=1e-6)
    assert sunk.clear is False


def test_the_middle_of_a_long_line_sags_by_the_drop_of_its_half():
    # Symmetric: at the middle of D the line is (1 - k) (D / 2)^2 / (2 R) below its chord.
    ground = plane_ground(lambda x, _y: 0.0 * x, cell_m=100.0, half_m=2000.0)
    ends = [spot_above_ground(x_m, 0.0, 2.0, ground) for x_m in (-1500.0, 1500.0)]
    found = line_of_sight(Surfaces(ground), *ends, 1 / 7)
    assert found.clearance_m == pytest.approx(2.0 - 1500.0**2 * bend_per_m(1 / 7), abs=1e-6)
