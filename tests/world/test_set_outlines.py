"""Sets of a whole country: whose id it is, and a coast of many corners, written once and cut to the place."""

import numpy as np
import pytest
import shapely

from planner.plan.file import read_plan
from planner.surroundings import surroundings
from planner.world.currency import LayerState, state_of
from planner.world.extent import Extent
from planner.world.layers import SNAP_DEG
from planner.world.set_outlines import cut_to
from planner.world.store import MARGIN_M, chart_set_folders, read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.store.reading import set_record
from tests.world.chart_files import CLASS_D, ISLAND, edit_set, feature, island_copy, write_geojson


def test_an_id_of_two_folders_is_neither_of_them(tmp_path):
    """Else a copy that the pilot forgot could stand in for the edition that was unpacked beside it."""
    folders = [island_copy(tmp_path, "one"), island_copy(tmp_path, "two")]
    plan = read_plan(ISLAND.parents[1] / "demo_missions" / "ridge_line.lowline.geojson")
    world = surroundings(plan, known_sets=chart_set_folders([tmp_path]))
    assert not world.airspace
    damages = {record.damage for record in world.layers if record.chart_set}
    assert len(damages) == 1
    assert all(str(folder) in damages.copy().pop() for folder in folders)


def coast(corners):
    """An invented coast about the island: rough, so that no simplifying helps."""
    angle = np.linspace(0.0, 2 * np.pi, corners, endpoint=False)
    out_deg = 1.0 + 0.03 * np.sin(40 * angle) + 0.005 * np.sin(corners / 7 * angle)
    ring = np.column_stack([-150.2 + out_deg * np.cos(angle), 37.8 + out_deg * np.sin(angle)])
    return shapely.Polygon(ring)


def test_a_coast_of_many_corners_is_written_once_and_cut_to_the_surroundings(tmp_path):
    country = coast(20_000)
    create_set(tmp_path / "set", Identity("test", "Test", "INVENTED", area=country))
    stated = Statement("Invented Authority", "2026-05-14", "2026-07-09", covers=country)
    add_files(tmp_path / "set", [write_geojson(tmp_path / "a.geojson", feature(**CLASS_D))], stated)
    assert len((tmp_path / "set" / "set.json").read_bytes()) < 2.1 * len(shapely.to_wkb(country))
    kept = set_record(tmp_path / "set")
    assert kept.jurisdiction.area.equals_exact(country)
    assert kept.layers[0].record.coverage.equals_exact(country)
    # Where the coast crosses the loaded box, what lies inland and at sea is told as by the whole outline.
    west = country.bounds[0]
    at = Extent(west + 0.2, 37.8, west + 0.2, 37.8)
    (record,) = read_chart_set(tmp_path / "set", at).layers
    assert shapely.get_num_coordinates(record.coverage) < 6_000
    box = at.grown(MARGIN_M).polygon()
    assert record.coverage.symmetric_difference(country.intersection(box)).area < 1e-9
    assert record.jurisdiction.area.symmetric_difference(country.intersection(box)).area < 1e-9
    for lon_deg in np.linspace(west - 0.05, west + 0.3, 40):
        spot = shapely.Point(lon_deg, 37.8).buffer(1e-4)
        state, _ = state_of([record], spot, None, needs_dates=True)
        assert (state is LayerState.OK) == country.buffer(SNAP_DEG).covers(spot)


@pytest.mark.parametrize("seed", range(40))
def test_cutting_gives_what_the_general_library_gives(seed):
    """GEOS's own intersection, also with islands, lakes and edges that lie on the cut."""
    random = np.random.default_rng(seed)
    rough = [shapely.Polygon(np.round(random.uniform(0, 10, (12, 2)), seed % 3)) for _ in range(2)]
    shape = shapely.union_all([ring.buffer(0) for ring in rough]).difference(shapely.box(4, 4, 6, 6))
    shape = shapely.union(shape, shapely.box(12, 1, 15, 9))
    for west, south, side in np.round(random.uniform([-1, -1, 0.1], [14, 9, 4], (40, 3)), seed % 2):
        extent = Extent(west, south, west + side + 0.1, south + side + 0.1)
        cut = cut_to(shape, extent)
        assert cut.symmetric_difference(shape.intersection(extent.polygon())).area < 1e-12
        assert cut.is_valid


def test_an_outline_that_is_lost_from_the_record_is_damage(tmp_path):
    create_set(tmp_path / "set", Identity("test", "Test", "INVENTED"))
    stated = Statement("Invented Authority", "2026-05-14", "2026-07-09", covers=coast(1_000))
    add_files(tmp_path / "set", [write_geojson(tmp_path / "a.geojson", feature(**CLASS_D))], stated)
    edit_set(tmp_path / "set", lambda content: content.pop("outlines"))
    (record,) = read_chart_set(tmp_path / "set", Extent(-150.2, 37.8, -150.2, 37.8)).layers
    assert "outline is missing" in record.damage
