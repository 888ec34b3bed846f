"""Two hundred random paths over real ground among real structures; each limit derived a second time.

The ground is the Jacksboro sample, the structures are Tennessee's own records. Every sample of every path
is derived again by other means: the record's line read by its printed columns, distances by geographiclib
(Karney's geodesics, not the library under test), errors by FAA Order 8260.19J App. C (standing A), radius
and allowance of 400 ft by 14 CFR 107.51(b) (standing B).
"""

import math
import random
import re
from datetime import UTC, datetime

import attrs
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.assess import Memory, assess
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan, Purpose
from planner.world.layers import LayerName
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.readers.terrain import read_terrain
from planner.world.world import World
from tests.worlds import layer

FT = 0.3048
PATHS = 200
RADIUS_M = 400 * FT
NEAR_EDGE_M = 0.05
HORIZONTAL_FT = {"1": 20, "2": 50, "3": 100, "4": 250, "5": 500, "6": 1_000}
VERTICAL_FT = {"A": 3, "B": 10, "C": 20, "D": 50, "E": 125, "F": 250, "G": 500, "H": 1_000}
EARTH = Geodesic.WGS84
AIRSPACE = (LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY)
TENNESSEE = shapely.box(-90.4, 34.9, -81.6, 36.8)
WINDOW = TimeWindow(
    datetime(2024, 3, 1, 15, tzinfo=UTC), datetime(2024, 3, 1, 16, tzinfo=UTC), "America/New_York"
)


class Tower:
    """One record, read from its printed line alone."""

    def __init__(self, line):
        self.key = line[0:9].strip()
        self.lat = _angle(line[35:47])
        self.lon = _angle(line[48:61])
        self.kind = line[62:80].strip()
        self.top_m = float(line[89:94]) * FT
        self.radius_m = RADIUS_M - HORIZONTAL_FT.get(line[97], math.inf) * FT
        self.limit_m = (float(line[89:94]) - VERTICAL_FT.get(line[99], math.inf) + 400) * FT
        self.gone = line[118] == "D"
        self.is_line = self.kind.startswith(("CATENARY", "TRAMWAY"))

    def allows(self, lon, lat):
        away = self.away_m(lon, lat)
        return math.isfinite(self.limit_m) and not self.gone and not self.is_line and away <= self.radius_m

    def away_m(self, lon, lat):
        return EARTH.Inverse(lat, lon, self.lat, self.lon, Geodesic.DISTANCE)["s12"]


def _angle(text):
    degrees, minutes, seconds, side = re.fullmatch(r"\s*(\d+) (\d+) ([\d.]+)([NSEW])\s*", text).groups()
    value = int(degrees) + int(minutes) / 60 + float(seconds) / 3600
    return -value if side in "SW" else value


@pytest.fixture(scope="module")
def world_and_towers(request):
    data = request.getfixturevalue("shared_data")
    terrain, record = read_terrain(data / "terrain" / "jacksboro_tn_3arcsec.tif")
    file = data / "dof" / "47-TN.Dat"
    read = read_publisher_file(file)
    lines = file.read_text("latin-1").splitlines()[4:]
    rows, columns = terrain.heights_m.shape
    west, north = terrain.cell_to_crs.c, terrain.cell_to_crs.f
    east, south = west + columns * terrain.cell_to_crs.a, north + rows * terrain.cell_to_crs.e
    towers = [Tower(line) for line in lines if len(line) > 119]
    inside = [each for each in towers if west < each.lon < east and south < each.lat < north]
    assert len(inside) > 20, "the sample holds real structures over real ground"
    # The file alone grants nothing outside a stated coverage: here it is stated, as a chart set states it.
    stated = tuple(attrs.evolve(told, coverage=TENNESSEE) for told in read.layers)
    keys = {tower.key for tower in inside}
    structures = tuple(item for item in read.structures if item.key in keys)
    # No airspace, and known to be none: without that no ceiling is known.
    dates = {"effective_utc": WINDOW.start_utc, "expires_utc": WINDOW.end_utc}
    known = [layer(name, coverage=TENNESSEE, **dates) for name in AIRSPACE]
    world = World(terrain=terrain, structures=structures, layers=(record, *stated, *known))
    return world, inside


def random_plan(draw, towers, standing):
    """Lead a path of four points past a real structure, at heights about its limit."""
    tower = draw.choice(towers)
    path = []
    for _ in range(4):
        turn, reach = draw.uniform(0, 360), abs(draw.gauss(0, 180))
        there = EARTH.Direct(tower.lat, tower.lon, turn, reach)
        place = Place(there["lon2"], there["lat2"])
        if draw.random() < 0.4:
            height = AboveGround(draw.uniform(20, 260))
        else:
            height = AboveSeaLevel(tower.top_m + draw.uniform(-60, 200))
        shape = LegShape.STRAIGHT if draw.random() < 0.7 else LegShape.FOLLOW_GROUND
        path.append(PathPoint(place, height, Leg(shape)))
    return Plan(purpose=Purpose.PART_107, path=tuple(path), structures_standing=standing, window=WINDOW)


def test_every_use_of_a_structure_is_derived_again(world_and_towers):
    world, towers = world_and_towers
    by_key = {tower.key: tower for tower in towers}
    assert len(by_key) == len(towers)
    standing = frozenset(item.key for item in world.structures)
    draw, memory = random.Random(2026), Memory()
    used = compared = 0
    for number in range(PATHS):
        answer = assess(random_plan(draw, towers, standing), world, memory)
        track, profile = answer.track, answer.profile
        for k in range(len(track)):
            lon, lat = float(track.lon_deg[k]), float(track.lat_deg[k])
            ground_m = float(track.lowest_ground_amsl_m[k])
            if math.isnan(ground_m):
                assert math.isnan(profile.ceiling_amsl_m[k])
                continue
            near = [
                tower for tower in towers if abs(tower.lat - lat) < 0.002 and abs(tower.lon - lon) < 0.003
            ]
            if any(abs(tower.away_m(lon, lat) - tower.radius_m) < NEAR_EDGE_M for tower in near):
                continue
            limits = [tower.limit_m for tower in near if tower.allows(lon, lat)]
            expected = max([ground_m + 400 * FT, *limits])
            where = f"path {number}, sample {k} at {track.distance_m[k]:.1f} m"
            assert profile.ground_limit_amsl_m[k] == pytest.approx(expected, abs=0.01), where
            compared += 1
            if profile.binding[k] is Binding.STRUCTURE:
                used += 1
                assert limits, where
                over = track.planned_amsl_m[k] > expected + 0.01
                assert over == (track.planned_amsl_m[k] > profile.ceiling_amsl_m[k] + 0.01), where
    assert compared > 3_000
    assert used > 500


def test_the_records_agree_with_what_the_program_read(world_and_towers):
    """Places to 1 cm, tops to the foot, by the printed columns of the file (check_values 10, standing A)."""
    world, towers = world_and_towers
    read = {item.key: item for item in world.structures}
    for tower in towers:
        item = read[tower.key]
        assert tower.away_m(item.place.lon_deg, item.place.lat_deg) < 0.01
        assert item.top_amsl_m == pytest.approx(tower.top_m, abs=1e-9)
        assert item.dismantled is tower.gone


def test_ground_in_the_real_sample_is_where_it_should_be(world_and_towers):
    """A structure's top less its height lies near the terrain: real records on real ground."""
    world, towers = world_and_towers
    keys = {tower.key for tower in towers}
    apart = []
    for item in world.structures:
        if item.key in keys and item.horizontal_error_m is not None and item.horizontal_error_m < 16:
            column, row = world.terrain.grid_position(
                np.array([item.place.lon_deg]), np.array([item.place.lat_deg])
            )
            ground = float(world.terrain.at_grid(column, row)[0])
            if math.isfinite(ground):
                apart.append(abs(item.top_amsl_m - item.height_agl_m - ground))
    assert len(apart) > 10
    assert float(np.median(apart)) < 15.0
