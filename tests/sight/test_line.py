"""The exact line of sight: against dense brute force on real ground, and its properties."""

import math
import os
from pathlib import Path

import numpy as np
import pyproj
import pytest
import rasterio
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.sight.curvature import EARTH_RADIUS_M
from planner.sight.grid import box_about
from planner.sight.line import line_of_sight, section_of
from planner.sight.lines import Outlook, Targets, lines_to
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.surfaces import Screen, Surfaces
from planner.world.plane_terrain import PlaneTerrain
from planner.world.readers.terrain import read_terrain
from tests.sight.grounds import laid, plane_ground, rough_ground, rough_heights

# 20,000 for a thorough run.
PAIRS = int(os.environ.get("LOWLINE_SIGHT_PAIRS", "1000"))
TARGETS_AN_EYE = 50
FARTHEST_M = 5000.0
STEP_M = 1.0


@pytest.fixture(scope="module")
def raster(shared_data) -> Path:
    return shared_data / "terrain" / "jacksboro_tn_3arcsec.tif"


class Dense:
    """Dense samples along the geodesic, by another way than the program: no plane, no raster lines."""

    def __init__(self, path):
        with rasterio.open(path) as dataset:
            self.heights = dataset.read(1).astype(float)
            self.inverse = ~dataset.transform
        self.geod = pyproj.Geod(ellps="WGS84")

    def ground(self, lon_deg, lat_deg):
        back, lon_deg, lat_deg = self.inverse, np.asarray(lon_deg), np.asarray(lat_deg)
        column, row = back.a * lon_deg + back.c - 0.5, back.e * lat_deg + back.f - 0.5
        left, upper = np.floor(column).astype(int), np.floor(row).astype(int)
        right, down = column - left, row - upper
        h = self.heights
        return (
            h[upper, left] * (1 - right) * (1 - down)
            + h[upper, left + 1] * right * (1 - down)
            + h[upper + 1, left] * (1 - right) * down
            + h[upper + 1, left + 1] * right * down
        )

    def clearance_m(self, eye, target, eye_amsl_m, target_amsl_m):
        azimuth, _, length_m = self.geod.inv(*eye, *target)
        away_m = np.linspace(0.0, length_m, max(2, math.ceil(length_m / STEP_M) + 1))
        count = len(away_m)
        lon_deg, lat_deg, _ = self.geod.fwd(
            np.full(count, eye[0]), np.full(count, eye[1]), np.full(count, azimuth), away_m
        )
        sag_m = (6 / 7) * away_m * (length_m - away_m) / (2 * EARTH_RADIUS_M)
        line_m = eye_amsl_m + (target_amsl_m - eye_amsl_m) * away_m / length_m - sag_m
        return float((line_m - self.ground(lon_deg, lat_deg)).min())


def test_agrees_with_dense_brute_force_on_real_ground(raster):
    dense = Dense(raster)
    terrain, _ = read_terrain(raster)
    frame = LocalFrame(Place(-84.2, 36.3))
    ground = PlaneTerrain.lay(terrain, frame)
    surfaces = Surfaces(ground)
    generator = np.random.default_rng(4)
    apart, fast_apart, hidden = [], [], 0
    for _ in range(PAIRS // TARGETS_AN_EYE):
        eye = spot_above_ground(*generator.uniform(-6000, 6000, 2), 1.7, ground)
        away_m, turn = (
            generator.uniform(50, FARTHEST_M, TARGETS_AN_EYE),
            generator.uniform(0, 2 * np.pi, TARGETS_AN_EYE),
        )
        x_m, y_m = eye.x_m + away_m * np.cos(turn), eye.y_m + away_m * np.sin(turn)
        ground_m = ground.ground(x_m, y_m)
        targets = Targets(x_m, y_m, ground_m + generator.uniform(2, 122, TARGETS_AN_EYE), ground_m)
        box = box_about(np.append(x_m, eye.x_m), np.append(y_m, eye.y_m))
        fast = lines_to(Outlook.over(surfaces, box), eye, targets)
        places = np.column_stack(frame.inverse(np.append(x_m, eye.x_m), np.append(y_m, eye.y_m)))
        for k in range(TARGETS_AN_EYE):
            target = Spot(x_m[k], y_m[k], targets.amsl_m[k], ground_m[k])
            exact = line_of_sight(surfaces, eye, target)
            brute_m = dense.clearance_m(places[-1], places[k], eye.amsl_m, target.amsl_m)
            hidden += brute_m < -0.001
            assert exact.clear is not None
            if exact.clear is (brute_m < -0.001):
                apart.append(exact.clearance_m)
            fast_apart.append(bool(fast.hidden[k]) is exact.clear)
            # Dense samples miss the least by up to half a step on the steepest ground, 1 m a metre;
            # geodesic, plane and raster part by less than 0.2 m sideways.
            assert exact.clearance_m == pytest.approx(brute_m, abs=0.5)
            assert exact.clearance_m <= brute_m + 0.1
    pairs = len(fast_apart)
    assert 0.2 * pairs < hidden < 0.8 * pairs
    assert len(apart) <= 0.005 * pairs
    assert all(abs(clearance_m) <= 0.5 for clearance_m in apart)
    assert not any(fast_apart)


class Rough:
    """Made once: hypothesis runs each example through the same ground."""

    ground = None

    @classmethod
    def get(cls):
        if cls.ground is None:
            cls.ground = rough_ground(cells=121, spread_m=25.0)
        return cls.ground


PLACE = st.floats(-500, 500)
ABOVE = st.floats(0.1, 120.0)


@settings(deadline=None)
@given(PLACE, PLACE, ABOVE, PLACE, PLACE, ABOVE)
def test_symmetric(x0, y0, above0, x1, y1, above1):
    ground = Rough.get()
    ends = spot_above_ground(x0, y0, above0, ground), spot_above_ground(x1, y1, above1, ground)
    there, back = line_of_sight(Surfaces(ground), *ends), line_of_sight(Surfaces(ground), *ends[::-1])
    assert there.clearance_m == pytest.approx(back.clearance_m, abs=1e-6)
    assert there.slant_m == back.slant_m


FAR_PLACE = st.floats(-4000, 4000)
LOW = st.floats(0.2, 3.0)


class Sea:
    """Level and 12 km wide: low over it the earth's own curve hides what is far away."""

    ground = plane_ground(lambda x, _y: 0.0 * x, cell_m=100.0, half_m=6000.0)

    @classmethod
    def clear(cls, eye_xy, eye_m, target_xy, above_m):
        ends = (
            spot_above_ground(*eye_xy, eye_m, cls.ground),
            spot_above_ground(*target_xy, above_m, cls.ground),
        )
        return line_of_sight(Surfaces(cls.ground), *ends).clear


@settings(deadline=None)
@given(FAR_PLACE, FAR_PLACE, LOW, FAR_PLACE, FAR_PLACE, LOW, st.floats(0.0, 0.999))
def test_walking_toward_the_aircraft_on_flat_ground_never_loses_it(x0, y0, eye_m, x1, y1, above_m, share):
    nearer = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
    if Sea.clear((x0, y0), eye_m, (x1, y1), above_m):
        assert Sea.clear(nearer, eye_m, (x1, y1), above_m)


def test_and_walking_toward_it_may_find_it():
    """Both horizons of 1 m with k = 1/7: 3.86 km each (computed); at 8 km it is hidden, at 7 km not."""
    assert Sea.clear((-4000.0, 0.0), 1.0, (4000.0, 0.0), 1.0) is False
    assert Sea.clear((-3000.0, 0.0), 1.0, (4000.0, 0.0), 1.0) is True


@settings(deadline=None)
@given(PLACE, PLACE, ABOVE, PLACE, PLACE, ABOVE, st.integers(0, 2**31))
def test_raising_the_ground_never_shows_more(x0, y0, above0, x1, y1, above1, seed):
    heights = rough_heights(121, 1, 25.0)
    generator = np.random.default_rng(seed)
    raised = heights + generator.uniform(0, 10, heights.shape).astype(np.float32) * (
        generator.random(heights.shape) < 0.2
    )
    low, high = laid(heights, 10.0), laid(raised, 10.0)
    # Eye and aircraft keep their heights above sea level.
    ends = spot_above_ground(x0, y0, above0, low), spot_above_ground(x1, y1, above1, low)
    before, after = line_of_sight(Surfaces(low), *ends), line_of_sight(Surfaces(high), *ends)
    assert after.clearance_m <= before.clearance_m + 1e-6
    assert after.spare_m <= before.spare_m + 1e-6


def test_raising_the_ground_hides_more_of_many_at_once_and_shows_none():
    """The same of the many lines that paths and areas are judged by."""
    low, high = laid(rough_heights(121, 1, 25.0), 10.0), laid(rough_heights(121, 1, 25.0) + 6.0, 10.0)
    generator = np.random.default_rng(12)
    x_m, y_m = generator.uniform(-500.0, 500.0, (2, 400))
    ground_m = low.ground(x_m, y_m)
    targets = Targets(x_m, y_m, ground_m + generator.uniform(7.0, 60.0, 400), ground_m)
    eye = spot_above_ground(-120.0, 80.0, 8.0, low)
    box = box_about(np.append(x_m, eye.x_m), np.append(y_m, eye.y_m))
    before, after = (lines_to(Outlook.over(Surfaces(one), box), eye, targets).hidden for one in (low, high))
    assert not (before & ~after).any()
    assert after.sum() > 1.05 * before.sum() > 0


def test_the_target_lowered_by_its_spare_is_just_seen():
    ground = Rough.get()
    eye = spot_above_ground(-310.0, 120.0, 1.7, ground)
    for x_m, y_m in ((300.0, -50.0), (210.0, 330.0), (-100.0, -400.0), (450.0, 20.0)):
        target = spot_above_ground(x_m, y_m, 60.0, ground)
        spare_m = line_of_sight(Surfaces(ground), eye, target).spare_m
        for change_m, clear in ((-spare_m + 0.02, True), (-spare_m - 0.02, False)):
            moved = Spot(x_m, y_m, target.amsl_m + change_m, target.ground_amsl_m)
            assert line_of_sight(Surfaces(ground), eye, moved).clear is clear


def test_unknown_ground_is_unknown_unless_known_ground_hides():
    def relief(x, _y):
        return np.where(x == 100.0, 10.0, np.where(x == 60.0, np.nan, 0.0))

    ground = plane_ground(relief)
    eye = spot_above_ground(0.0, 3.0, 1.7, ground)
    high, low = (spot_above_ground(200.0, 3.0, above_m, ground) for above_m in (60.0, 2.0))
    over = line_of_sight(Surfaces(ground), eye, high)
    assert (over.clear, over.whole) == (None, False)
    assert line_of_sight(Surfaces(ground), eye, low).clear is False
    outside = Spot(-5000.0, 0.0, 100.0, math.nan)
    assert line_of_sight(Surfaces(ground), eye, outside).clear is None


def test_cover_hides_and_voids_in_it_do_not_matter():
    ground = plane_ground(lambda x, _y: 0.0 * x)
    crowns = plane_ground(lambda x, _y: np.where(x == 100.0, 20.0, np.nan))
    field = plane_ground(lambda x, _y: np.where(np.abs(x - 100.0) < 11.0, 20.0, 0.0))
    eye, target = (
        spot_above_ground(x_m, 0.0, above_m, ground) for x_m, above_m in ((0.0, 1.7), (200.0, 20.0))
    )
    assert line_of_sight(Surfaces(ground), eye, target).clear
    assert line_of_sight(Surfaces(ground, field), eye, target).clear is False
    assert Surfaces(ground, field).trees_checked
    assert not Surfaces(ground).trees_checked
    assert line_of_sight(Surfaces(ground, crowns), eye, target).whole


def test_a_building_hides_what_lies_behind_it_and_nothing_else():
    ground = plane_ground(lambda x, _y: 0.0 * x)
    house = Surfaces(ground, screens=(Screen(shapely.box(90.0, -10.0, 110.0, 10.0), 12.0),))
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    behind, beside, above = (
        spot_above_ground(200.0, y_m, above_m, ground)
        for y_m, above_m in ((0.0, 20.0), (60.0, 20.0), (0.0, 30.0))
    )
    found = line_of_sight(house, eye, behind, 1.0)
    assert found.clear is False
    # The near edge decides: at 90 m the line is 1.7 + 0.45 * 18.3 = 9.935 m, 2.065 m under the roof.
    assert found.clearance_m == pytest.approx(-2.065, abs=0.001)
    assert found.spare_m == pytest.approx(-2.065 * 200 / 90, abs=0.001)
    assert line_of_sight(house, eye, beside).clear
    assert line_of_sight(house, eye, above).clear


def test_section_shows_ground_and_line():
    ground = plane_ground(lambda x, _y: np.where(x == 100.0, 10.0, 0.0))
    eye, target = (
        spot_above_ground(x_m, 0.0, above_m, ground) for x_m, above_m in ((0.0, 1.7), (200.0, 30.0))
    )
    section = section_of(Surfaces(ground), eye, target)
    assert section.ground_amsl_m.max() == pytest.approx(10.0, abs=1e-6)
    assert section.distance_m[section.ground_amsl_m.argmax()] == pytest.approx(100.0)
    assert np.isnan(section.cover_amsl_m).all()
    gap_m = (section.line_amsl_m - section.ground_amsl_m).min()
    assert gap_m == pytest.approx(line_of_sight(Surfaces(ground), eye, target).clearance_m, abs=1e-3)
