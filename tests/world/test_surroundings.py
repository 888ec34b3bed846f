"""The world around a plan: its own sets, or the files given in their place."""

import pytest

from planner.errors import ChartError
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.geometry import PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.model import Plan
from planner.surroundings import surroundings
from planner.world.currency import LayerState, records_of, state_of
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.sites import AerodromeKind
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import CLASS_D, ISLAND, edit_set, feature, island_copy, write_geojson

KNOWN = {"demo-island": ISLAND}
ISLAND_PLAN = Plan(
    launch=GroundSpot(Place(-150.2, 37.8)),
    path=(PathPoint(Place(-150.2, 37.8), AboveGround(30)), PathPoint(Place(-150.19, 37.81), AboveGround(30))),
    chart_sets=("demo-island",),
)


def states(world, name):
    return [record.damage for record in records_of(world.layers, name)]


def test_plans_own_set_is_found_by_id():
    world = surroundings(ISLAND_PLAN, known_sets=KNOWN)
    assert world.invented
    assert world.terrain is not None
    assert world.cells
    assert not [record for record in world.layers if record.damage]
    # Only the island's own aerodromes: an invented world is never mixed with real ones.
    assert all("INVENTED" in aerodrome.name for aerodrome in world.aerodromes)


def test_missing_set_damages_every_layer_and_is_named():
    world = surroundings(ISLAND_PLAN, known_sets={})
    assert world.terrain is None
    for name in LayerName:
        state, record = state_of(records_of(world.layers, name), None, None, needs_dates=False)
        assert state is LayerState.DAMAGED
        assert "'demo-island' is not at hand" in record.damage


def test_unreadable_own_set_is_damage_but_given_path_is_an_error(tmp_path):
    (tmp_path / "set.json").write_text("{")
    world = surroundings(ISLAND_PLAN, known_sets={"demo-island": tmp_path})
    assert all("can't be read" in text for text in states(world, LayerName.CLASS_AIRSPACE))
    with pytest.raises(ChartError):
        surroundings(ISLAND_PLAN, [tmp_path], known_sets=KNOWN)


def test_given_charts_replace_the_plans_sets(tmp_path):
    path = write_geojson(tmp_path / "some.geojson", feature(**CLASS_D))
    world = surroundings(ISLAND_PLAN, [path], known_sets=KNOWN)
    assert [volume.name for volume in world.airspace] == ["INVENTED D"]
    assert world.terrain is None
    assert not world.cells
    (record,) = records_of(world.layers, LayerName.CLASS_AIRSPACE)
    assert record.coverage is None


def test_several_given_charts_are_merged(tmp_path):
    path = write_geojson(tmp_path / "some.geojson", feature(**CLASS_D))
    world = surroundings(ISLAND_PLAN, [path, ISLAND], known_sets={})
    names = {volume.name for volume in world.airspace}
    assert {"INVENTED D", "CORROW FIELD CLASS C (INVENTED)"} <= names
    assert len(records_of(world.layers, LayerName.CLASS_AIRSPACE)) == 2
    assert world.terrain is not None


def test_given_terrain_replaces_that_of_the_sets():
    world = surroundings(ISLAND_PLAN, None, ISLAND / "terrain" / "island.tif", known_sets=KNOWN)
    assert world.terrain.surface is SurfaceKind.UNKNOWN
    assert len(records_of(world.layers, LayerName.TERRAIN)) == 1
    assert world.cells


def test_two_sets_share_one_terrain(tmp_path):
    other = island_copy(tmp_path)
    edit_set(other, lambda content: content.update(id="other"))
    edit_set(other, lambda content: content["terrain"][0].update(surface="surface"))
    plan = Plan(launch=ISLAND_PLAN.launch, chart_sets=("other", "demo-island"))
    world = surroundings(plan, known_sets={**KNOWN, "other": other})
    assert world.terrain.surface is SurfaceKind.BARE_EARTH
    damaged = [record.chart_set for record in records_of(world.layers, LayerName.TERRAIN) if record.damage]
    assert damaged == ["other"]


def test_aerodromes_of_real_places_come_from_the_package():
    """KJAU near Jacksboro, Tennessee, is in the airportsdata package at 1,179.9 ft."""
    plan = Plan(launch=GroundSpot(Place(-84.16, 36.33)))
    world = surroundings(plan, known_sets={})
    field = next(field for field in world.aerodromes if field.ident == "KJAU")
    assert field.elevation_amsl_m == pytest.approx(1179.9 * 0.3048)
    assert {AerodromeKind.HELIPORT, AerodromeKind.UNKNOWN} >= {field.kind for field in world.aerodromes}
    (record,) = world.layers
    assert (record.name, record.publisher, record.coverage) == (
        LayerName.AERODROMES,
        "airportsdata package",
        None,
    )


def test_plan_without_a_place_gets_its_whole_sets():
    world = surroundings(Plan(chart_sets=("demo-island",)), known_sets=KNOWN)
    assert world.terrain is not None
    assert world.airspace
    assert surroundings(Plan(), known_sets={}).layers == ()


def test_jacksboro_terrain_from_the_command_line(shared_data):
    plan = Plan(launch=GroundSpot(Place(-84.2, 36.3)))
    world = surroundings(plan, (), shared_data / "terrain" / "jacksboro_tn_3arcsec.tif", known_sets={})
    assert world.terrain is not None
    assert world.terrain.uncertainty_assumed
    assert not world.invented


# A degree of latitude is 110.6 to 111.7 km (geographiclib: 110,574 m at the equator, 111,694 m at the pole).
def test_extent_is_never_smaller_than_asked_for():
    extent = Extent.around([Place(-84.2, 60.0)], 50_000.0)
    assert extent.north_deg - 60.0 >= 50_000 / 110_574
    assert -84.2 - extent.west_deg >= 50_000 / (111_319 * 0.5)
    assert Extent.around([]) is None
    assert Extent.around([Place(179.9, 10.0)], 50_000.0).bounds()[::2] == (-180.0, 180.0)
    assert Extent.around([Place(-179.9, 10.0), Place(179.9, 10.0)]).bounds()[::2] == (-180.0, 180.0)
    assert Extent.around([Place(0.0, 89.9)], 50_000.0).north_deg == 90.0
