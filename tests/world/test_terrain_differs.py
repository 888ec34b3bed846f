"""Two rasters that tell different ground: the newer counts, and that they differ is something to do.

Heights and differences are put in by hand; what a coarse raster makes of a hill is its own sampling of it
(numpy). That the newer goes before the older, and 10 m beside both uncertainties, are our own rules.
"""

from datetime import UTC, datetime

import attrs
import numpy as np
import pytest
from affine import Affine

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.merge import merged
from planner.world.terrain import SurfaceKind
from planner.world.terrain_choice import with_one_terrain
from planner.world.terrain_differs import differs_most, greatest
from planner.world.world import World
from tests import worlds
from tests.rules.test_beneath_rules import finding
from tests.worlds import GROUND_M, at, terrain

PLAN = worlds.plan()
ABOUT = Extent.around(PLAN.places())
KNOWN = {"surface": SurfaceKind.BARE_EARTH, "vertical_datum": "NAVD 88"}


def ground(height_m=GROUND_M, cell_m=10.0, hill=0.0, **changes):
    """Level ground with a pit or heap of 60 m in radius about the middle of the plan's path."""
    made = terrain(
        lambda east, north: height_m + hill * (np.hypot(east - 100.0, north) < 60.0), cell_m=cell_m, cells=301
    )
    return attrs.evolve(made, **{**KNOWN, **changes})


def part(raster, source, year):
    begins = datetime(year, 1, 1, tzinfo=UTC)
    told = worlds.layers(terrain=worlds.layer(LayerName.TERRAIN, source=source, effective_utc=begins))
    return World(terrain=raster, layers=tuple(one for one in told if one.name is LayerName.TERRAIN))


@pytest.mark.parametrize("newer", ["A", "B"])
@pytest.mark.parametrize("high", ["A", "B"])
def test_of_two_surveys_the_newer_counts_and_the_difference_is_told(newer, high):
    parts = [
        part(ground(GROUND_M + (100.0 if name == high else 0.0)), name, year=2024 if name == newer else 2009)
        for name in ("A", "B")
    ]
    one = merged(with_one_terrain(parts, ABOUT))
    counts_m = GROUND_M + (100.0 if newer == high else 0.0)
    assert float(one.terrain.heights_m[150, 150]) == pytest.approx(counts_m, abs=1e-3)
    assert one.terrain_differs.apart_m == pytest.approx(100.0, abs=1e-3)


def west_and_east(raster):
    """The two halves of a raster as tiles on one grid, side by side."""
    middle = raster.heights_m.shape[1] // 2
    east = raster.cell_to_crs @ Affine.translation(middle, 0)
    return (
        attrs.evolve(raster, heights_m=raster.heights_m[:, :middle]),
        attrs.evolve(raster, heights_m=raster.heights_m[:, middle:], cell_to_crs=east),
    )


def test_every_tile_of_the_survey_that_counts_is_held_against_the_others():
    """A survey in two tiles; another has one tile over either half, 50 m higher."""
    tiles = west_and_east(ground())
    for k, tile in enumerate(tiles):
        (_, other) = west_and_east(ground(GROUND_M + 50.0))
        shifted = attrs.evolve(other, heights_m=tile.heights_m + 50.0, cell_to_crs=tile.cell_to_crs)
        parts = [part(one, f"A{n}", 2024) for n, one in enumerate(tiles)] + [part(shifted, "B", 2009)]
        one = merged(with_one_terrain(parts, ABOUT))
        assert one.terrain_differs is not None, k
        assert one.terrain_differs.apart_m == pytest.approx(50.0, abs=1e-3)


def told(differs, plan=PLAN):
    answer = assess_live(plan, attrs.evolve(worlds.world(), terrain_differs=differs))
    return finding(answer, "terrain-contradicts"), answer.verdict


def test_under_the_flight_it_leaves_the_answer_open_with_place_and_difference():
    """Data that contradict each other never become ready: our own rule (design 2)."""
    pit = differs_most([ground(), ground(hill=-40.0)], ABOUT)
    spot, middle = pit.place, at(100.0, 0.0)
    assert abs(spot.lat_deg - middle.lat_deg) * 111_000.0 < 61.0
    found, verdict = told(pit)
    assert (found.mark, verdict) == (Mark.UNKNOWN, Verdict.UNDETERMINED)
    assert abs(found.place.lat_deg - middle.lat_deg) * 111_000.0 < 61.0
    # 40 m are 131.2 ft, rounded up.
    assert "differ by 132 ft beneath the flight" in found.message
    assert told(None)[0] is None


@pytest.mark.parametrize(
    ("north_m", "mark"), [(125.0, Mark.ACT), (75.0, Mark.UNKNOWN), (-75.0, Mark.UNKNOWN)]
)
def test_beside_the_flight_it_is_something_to_do(north_m, mark):
    """A pit of 60 m in radius; near are 30 m and one step of the comparison, 15 m at the most here."""
    pit = terrain(
        lambda east, north: GROUND_M - 40.0 * (np.hypot(east - 100.0, north - north_m) < 60.0),
        cell_m=10.0,
        cells=301,
    )
    found, _ = told(differs_most([ground(), attrs.evolve(pit, **KNOWN)], ABOUT))
    assert found.mark is mark


def test_of_an_area_all_that_it_holds_counts():
    """The pit lies within its ring, and its top's places are some of many."""
    drawn = worlds.area(worlds.box(0.0, -100.0, 200.0, 100.0), AboveGround(30.0))
    found, verdict = told(
        differs_most([ground(), ground(hill=-40.0)], ABOUT), worlds.plan(path=(), area=drawn)
    )
    assert (found.mark, verdict) == (Mark.UNKNOWN, Verdict.UNDETERMINED)


def test_a_quarry_along_a_long_run_does_not_fall_between():
    """80 m across, on a run of 5 km: a place every 15 m."""
    long = Extent.around((at(-2500.0, 0.0), at(2500.0, 0.0)))
    for east_m in (-2100.0, 40.0, 1313.0):
        pit, whole = (
            attrs.evolve(
                terrain(
                    lambda east, north, deep_m=deep_m, east_m=east_m: (
                        GROUND_M - deep_m * (np.hypot(east - east_m, north) < 40.0)
                    ),
                    cell_m=20.0,
                    cells=301,
                ),
                **KNOWN,
            )
            for deep_m in (30.0, 0.0)
        )
        assert differs_most([whole, pit], long).apart_m > 25.0


@pytest.mark.parametrize(
    ("apart_m", "off_m", "differs"),
    [(10.5, 0.0, True), (9.5, 0.0, False), (14.5, 5.0, False), (15.5, 5.0, True)],
)
def test_less_than_both_may_be_off_and_ten_metres_is_no_contradiction(apart_m, off_m, differs):
    other = ground(GROUND_M + apart_m, vertical_uncertainty_m=off_m)
    assert (differs_most([ground(), other], ABOUT) is not None) is differs


def test_a_coarse_raster_of_the_same_steep_ground_contradicts_nothing():
    def steep(east, north):
        return GROUND_M + 80.0 * np.tanh((east - 105.0) / 15.0) + 30.0 * np.sin(north / 40.0)

    fine, coarse = (
        attrs.evolve(terrain(steep, cell_m=cell_m, cells=cells), **KNOWN)
        for cell_m, cells in ((5.0, 601), (90.0, 41))
    )
    assert differs_most([fine, coarse], ABOUT) is None
    assert differs_most([coarse, fine], ABOUT) is None
    # Though places of the two lie far more than 10 m apart.
    lower = attrs.evolve(coarse, heights_m=coarse.heights_m - 150.0)
    assert differs_most([fine, lower], ABOUT).apart_m > 100.0


@pytest.mark.parametrize("spelled", ["navd 88", "NAVD88", "NAVD88 height", "EPSG:5703"])
def test_one_zero_spelled_otherwise_is_the_same(spelled):
    """EPSG:5703 is NAVD 88 height (EPSG registry)."""
    other = ground(GROUND_M + 30.0, vertical_datum=spelled)
    assert differs_most([ground(), other], ABOUT).apart_m == pytest.approx(30.0, abs=1e-3)


BARE, SURFACE, NOT_STATED = SurfaceKind.BARE_EARTH, SurfaceKind.SURFACE, SurfaceKind.UNKNOWN


@pytest.mark.parametrize("cells_m", [(10.0, 10.0), (10.0, 90.0), (90.0, 10.0)])
@pytest.mark.parametrize(
    ("kind", "higher_by_m", "differs"),
    [
        # What may be trees and roofs lies above the bare ground, and never under it.
        (SURFACE, 30.0, False),
        (SURFACE, -30.0, True),
        (NOT_STATED, 30.0, False),
        (NOT_STATED, -30.0, True),
        (NOT_STATED, -9.0, False),
        (BARE, 30.0, True),
    ],
)
def test_a_surface_is_nowhere_under_the_bare_ground(kind, higher_by_m, differs, cells_m):
    """What is not stated may be either: own reasoning, from what the two are."""
    one, other = (
        ground(height_m, cell_m=cell_m, surface=surface)
        for height_m, cell_m, surface in zip(
            (GROUND_M, GROUND_M + higher_by_m), cells_m, (BARE, kind), strict=True
        )
    )
    for pair in ((one, other), (other, one)):
        found = differs_most(pair, ABOUT)
        assert (found is not None) is differs
        assert found is None or found.of_one_kind is (kind is BARE)


@pytest.mark.parametrize(("higher_by_m", "differs"), [(30.0, True), (-30.0, False)])
def test_what_is_not_stated_is_nowhere_above_the_surface(higher_by_m, differs):
    found = differs_most([ground(surface=SURFACE), ground(GROUND_M + higher_by_m, surface=NOT_STATED)], ABOUT)
    assert (found is not None) is differs
    assert not differs or "lower than the bare ground or the surface of the other" in told(found)[0].message


def with_voids(raster, share, seed=3):
    holes = np.random.default_rng(seed).random(raster.heights_m.shape) < share
    return attrs.evolve(raster, heights_m=np.where(holes, np.float32(np.nan), raster.heights_m))


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6])
@pytest.mark.parametrize("cell_m", [10.0, 30.0])
def test_of_a_survey_with_many_voids_what_is_known_is_compared(share, cell_m):
    """Beside a void nothing is interpolated: at 60 % of voids 3 % of all places had four corners."""
    other = with_voids(ground(GROUND_M + 40.0, cell_m=cell_m), share)
    for pair in ((ground(), other), (other, ground())):
        found = differs_most(pair, ABOUT)
        assert found is not None
        assert len(found.spots) > (1.0 - share) * 1_000
        assert found.apart_m == pytest.approx(40.0, abs=1e-3)
    same = with_voids(ground(cell_m=cell_m), share)
    assert differs_most([ground(), same], ABOUT) is None


def test_a_slope_with_voids_contradicts_nothing():
    fine, coarse = (
        attrs.evolve(terrain(worlds.slope(0.5), cell_m=cell_m, cells=cells), **KNOWN)
        for cell_m, cells in ((10.0, 301), (60.0, 61))
    )
    for share in (0.1, 0.5):
        assert differs_most([with_voids(fine, share), coarse], ABOUT) is None
        assert differs_most([fine, with_voids(coarse, share)], ABOUT) is None


def hills(east, north):
    """Ground with slopes of up to 0.6, ridges 300 m apart."""
    return GROUND_M + 20.0 * np.sin(east / 48.0) + 10.0 * np.sin((north - 0.4 * east) / 48.0)


HILLSIDE = worlds.slope(0.4)


def surveyed(cell_m, cells, relief=hills, **changes):
    return attrs.evolve(terrain(relief, cell_m=cell_m, cells=cells), **{**KNOWN, **changes})


def three_nodes_lower(raster, by_m, across=1):
    """A pit of so many nodes on each side of the one in the middle of the raster."""
    middle = raster.heights_m.shape[0] // 2
    heights_m = raster.heights_m.copy()
    heights_m[middle - across : middle + across + 1, middle - across : middle + across + 1] -= by_m
    return attrs.evolve(raster, heights_m=heights_m)


@pytest.mark.parametrize("by_m", [40.0, -40.0])
@pytest.mark.parametrize("kind", [SurfaceKind.BARE_EARTH, SurfaceKind.SURFACE])
@pytest.mark.parametrize("off_m", [0.0, 10.0])
def test_two_surveys_on_one_grid_are_held_node_by_node(by_m, kind, off_m):
    """3 by 3 nodes of 90 m on a slope: on it heights within a cell of a place differ by 36 m either way."""
    off = {"vertical_uncertainty_m": 3.0, "horizontal_uncertainty_m": off_m}
    one = surveyed(90.0, 41, HILLSIDE, surface=kind, **off)
    other = three_nodes_lower(one, by_m)
    for pair in ((one, other), (other, one)):
        found = differs_most(pair, ABOUT)
        assert found is not None
        assert found.spots[:, 2].max() == pytest.approx(40.0, abs=1e-2)
        assert told(found)[1] is Verdict.UNDETERMINED


def test_on_one_grid_a_single_node_counts_but_not_what_lies_within_their_errors():
    """30 m at one node beside 10 m and twice 3 m; off sideways by 25 m each, slopes explain it."""
    sure = surveyed(90.0, 41, vertical_uncertainty_m=3.0)
    assert differs_most([sure, three_nodes_lower(sure, 30.0, across=0)], ABOUT) is not None
    assert differs_most([sure, three_nodes_lower(sure, 15.0)], ABOUT) is None

    def displaced(off_m):
        moved = surveyed(90.0, 41, lambda east, north: hills(east - 40.0, north))
        return [attrs.evolve(one, horizontal_uncertainty_m=off_m) for one in (surveyed(90.0, 41), moved)]

    assert differs_most(displaced(0.0), ABOUT) is not None
    assert differs_most(displaced(25.0), ABOUT) is None


@pytest.mark.parametrize("cells_m", [(90.0, 90.0), (90.0, 80.0), (30.0, 27.0)])
def test_two_of_one_cell_size_on_other_grids_are_held_within_half_a_cell(cells_m):
    """Each samples the same hills elsewhere; on a slope 3 by 3 nodes of one of them are off by 40 m."""
    for relief, by_m in ((hills, 0.0), (HILLSIDE, 0.0), (HILLSIDE, 40.0)):
        one, other = (
            surveyed(cell_m, cells, relief, vertical_uncertainty_m=3.0)
            for cell_m, cells in zip(cells_m, (40, 41), strict=True)
        )
        for pair in ((one, three_nodes_lower(other, by_m)), (three_nodes_lower(other, by_m), one)):
            found = differs_most(pair, ABOUT)
            assert (found is not None) is (by_m > 0.0)
            assert found is None or found.spots[:, 2].max() > 35.0


def test_voids_on_one_grid_contradict_nothing_and_hide_nothing():
    """Beside a void the height is that of the nearest node: 45 m away on a slope of 0.5 it is 22 m off."""
    slope = surveyed(90.0, 41, worlds.slope(0.5))
    for share in (0.1, 0.5):
        assert differs_most([with_voids(slope, share), with_voids(slope, share, seed=4)], ABOUT) is None
    assert differs_most([with_voids(slope, 0.1), three_nodes_lower(slope, 40.0, across=2)], ABOUT) is not None


def test_what_is_over_another_datum_or_lies_elsewhere_is_not_compared():
    datum = ground(GROUND_M + 30.0, vertical_datum="NGVD 29")
    away = terrain(lambda east, north: GROUND_M + 30.0 + 0.0 * east, cell_m=10.0, cells=5)
    for other in (datum, attrs.evolve(away, heights_m=away.heights_m * np.nan, **KNOWN)):
        assert differs_most([ground(), other], ABOUT) is None
    assert differs_most([ground(), ground(GROUND_M + 30.0)], None) is None
    assert differs_most([ground()], ABOUT) is None


def test_of_several_the_greatest_is_kept_when_worlds_are_merged():
    small, great = (differs_most([ground(), ground(GROUND_M + m)], ABOUT) for m in (20.0, 50.0))
    assert greatest([None, small, great]) == great
    assert greatest([]) is None
    parts = [World(terrain_differs=one) for one in (small, None, great)]
    assert merged(parts).terrain_differs == great
    # What differs less elsewhere may lie beneath the flight.
    assert len(merged(parts).terrain_differs.spots) == len(small.spots) + len(great.spots)
