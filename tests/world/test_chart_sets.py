"""Chart sets and publishers' files, from the disk to a world."""

import random

import attrs
import numpy as np
import pyogrio
import pyproj
import pytest
import shapely

from planner.errors import ChartError
from planner.geo.place import Place
from planner.world.airspace import AirspaceKind
from planner.world.currency import LayerState, records_of, state_of
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.merge import fingerprint, merged
from planner.world.readers import table
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.store import chart_set_folders, read_chart_set
from planner.world.structures import Structure
from planner.world.world import World
from tests.world.chart_files import CLASS_D, ISLAND, SQUARE, edit_set, feature, island_copy, write_geojson

HERE = Extent(-150.2, 37.8, -150.19, 37.81)
RESTRICTING = (LayerName.CLASS_AIRSPACE, LayerName.FACILITY_MAP, LayerName.SPECIAL_USE, LayerName.SECURITY)


def damage_of(world, name):
    return {record.damage for record in records_of(world.layers, name)}


def contents(world):
    """Return every feature of a world by content, without order."""
    named = [
        field.name
        for field in attrs.fields(World)
        if field.name not in {"terrain", "terrain_differs", "layers", "jurisdictions"}
    ]
    return {name: sorted(fingerprint(item) for item in getattr(world, name)) for name in named}


def rewrite(folder, layer, change):
    """Rewrite one table of a chart set through `change(meta, geometry, fields)`."""
    path = folder / "charts.gpkg"
    meta, _, geometry, fields = pyogrio.raw.read(path, layer=layer)
    names, geometry, fields = change(list(meta["fields"]), geometry, list(fields))
    pyogrio.raw.write(
        path,
        geometry,
        fields,
        names,
        layer=layer,
        crs=meta["crs"],
        geometry_type=meta["geometry_type"],
        driver="GPKG",
    )


def test_island_set_is_whole():
    world = read_chart_set(ISLAND)
    assert world.invented
    assert world.terrain is not None
    assert not [record.damage for record in world.layers if record.damage]
    # The island has no zones of an authority, wires, training routes or the like.
    assert {record.name for record in world.layers} >= {*RESTRICTING, LayerName.OBSTACLES, LayerName.ROADS}
    assert all(record.chart_set == "demo-island" for record in world.layers)
    assert {AirspaceKind.CLASS_C, AirspaceKind.PROHIBITED, AirspaceKind.STADIUM} <= {
        v.kind for v in world.airspace
    }
    assert any(cell.ceiling_agl_m == 0.0 for cell in world.cells)
    keys = [volume.key for volume in world.airspace] + [cell.key for cell in world.cells]
    assert len(set(keys)) == len(keys)


def test_extent_loads_what_it_meets_and_cuts_coverage():
    whole, near = read_chart_set(ISLAND), read_chart_set(ISLAND, HERE)
    assert contents(whole) == contents(near)
    away = read_chart_set(ISLAND, Extent(-151.5, 37.8, -151.5, 37.8))
    assert not away.airspace
    assert not away.cells
    assert away.terrain is None
    for record in away.layers:
        assert state_of([record], shapely.Point(-150.2, 37.8), None, needs_dates=False)[
            0
        ] is not LayerState.OK or (record.name is LayerName.TERRAIN)


def test_order_of_features_does_not_matter(tmp_path):
    folder = island_copy(tmp_path)

    def shuffled(names, geometry, fields):
        order = list(range(len(geometry)))
        random.Random(7).shuffle(order)
        return names, geometry[order], [field[order] for field in fields]

    for name in ("class_airspace", "facility_map", "obstacles", "buildings"):
        rewrite(folder, name, shuffled)
    assert contents(read_chart_set(folder)) == contents(read_chart_set(ISLAND))
    keys = [cell.key for cell in read_chart_set(folder).cells]
    assert keys == [cell.key for cell in read_chart_set(ISLAND).cells]


def test_a_volume_of_no_class_damages_its_own_place_only(tmp_path):
    folder = island_copy(tmp_path)

    def without_class(names, geometry, fields):
        fields[names.index("LOCAL_TYPE")][0] = "CLASS_Q"
        return names, geometry, fields

    outline = shapely.from_wkb(pyogrio.raw.read(folder / "charts.gpkg", layer="class_airspace")[2][0])
    rewrite(folder, "class_airspace", without_class)
    records = records_of(read_chart_set(folder).layers, LayerName.CLASS_AIRSPACE)
    state, record = state_of(records, outline.centroid, None, needs_dates=True)
    assert state is LayerState.DAMAGED
    assert "CLASS_Q" in record.damage
    clear = shapely.Point(-150.33 + 0.01, 37.92 - 0.01)
    assert not outline.covers(clear)
    assert state_of(records, clear, None, needs_dates=True)[0] is LayerState.OK


def test_missing_features_are_damage(tmp_path):
    folder = island_copy(tmp_path)
    rewrite(
        folder,
        "facility_map",
        lambda names, geometry, fields: (names, geometry[:-1], [f[:-1] for f in fields]),
    )
    world = read_chart_set(folder)
    assert damage_of(world, LayerName.FACILITY_MAP) == {"its table holds 81 features, set.json says 82"}
    assert len(world.cells) == 81


def test_table_not_listed_shows_what_it_contains_only(tmp_path):
    folder = island_copy(tmp_path)
    edit_set(folder, lambda content: content["layers"].pop("class_airspace"))
    world = read_chart_set(folder)
    (record,) = records_of(world.layers, LayerName.CLASS_AIRSPACE)
    assert record.coverage is None
    assert record.effective_utc is None
    assert any(volume.kind is AirspaceKind.CLASS_C for volume in world.airspace)


def test_bare_days_count_from_their_end_and_until_their_beginning(tmp_path):
    folder = island_copy(tmp_path)
    edit_set(
        folder,
        lambda content: content["layers"]["roads"].update(effective="2026-01-22", expires="2026-02-19"),
    )
    (record,) = records_of(read_chart_set(folder).layers, LayerName.ROADS)
    assert record.effective_utc.isoformat() == "2026-01-23T00:00:00+00:00"
    assert record.expires_utc.isoformat() == "2026-02-19T00:00:00+00:00"


def test_only_one_raster_is_read_and_the_other_says_so(tmp_path):
    folder = island_copy(tmp_path)

    def twice(content):
        other = {**content["terrain"][0], "surface": "surface", "source": "canopy"}
        content["terrain"].append(other)

    edit_set(folder, twice)
    world = read_chart_set(folder, HERE)
    assert world.terrain.surface == "bare-earth"
    not_read = [record for record in records_of(world.layers, LayerName.TERRAIN) if record.damage]
    assert [record.source for record in not_read] == ["canopy"]


def test_folders_are_found_by_id(tmp_path):
    island_copy(tmp_path, "one")
    other = island_copy(tmp_path, "other")
    edit_set(other, lambda content: content.update(id="other-island"))
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "set.json").write_text("{")
    found = chart_set_folders([ISLAND, tmp_path, tmp_path, tmp_path / "not there"])
    assert found == {"other-island": other}
    assert found.doubles == {"demo-island": (ISLAND, tmp_path / "one")}
    assert list(found.unread) == [tmp_path / "broken"]


def test_merging_keeps_every_feature_once_and_every_key_apart():
    mast = Structure("A-1", "tower", Place(0, 0), 100.0, 90.0)
    moved = attrs.evolve(mast, place=Place(1, 1))
    one, two = World(structures=(mast,)), World(structures=(moved,))
    assert merged([one, one]).structures == (mast,)
    both = merged([one, two])
    assert len({structure.key for structure in both.structures}) == 2
    assert both.structures == merged([two, one]).structures
    assert all(structure.key.startswith("A-1#") for structure in both.structures)


def test_projected_and_third_coordinates_come_to_lon_lat(tmp_path):
    outline = shapely.box(-150.21, 37.79, -150.19, 37.81)
    flat = read_publisher_file(write_geojson(tmp_path / "a.geojson", feature(outline, **CLASS_D)))
    lifted = read_publisher_file(
        write_geojson(tmp_path / "b.geojson", feature(shapely.force_3d(outline, 30.0), **CLASS_D))
    )
    path = tmp_path / "c.gpkg"
    mercator = shapely.transform(outline, _to_mercator, interleaved=False)
    pyogrio.raw.write(
        path,
        np.array([shapely.to_wkb(mercator)], dtype=object),
        [np.array([str(value)], dtype=object) for value in CLASS_D.values()],
        list(CLASS_D),
        layer="anything",
        crs="EPSG:3857",
        geometry_type="Polygon",
        driver="GPKG",
    )
    projected = read_publisher_file(path)
    for world in (flat, lifted, projected):
        (volume,) = world.airspace
        assert not volume.outline.has_z
        assert volume.outline.bounds == pytest.approx(outline.bounds, abs=1e-9)
        assert volume.kind is AirspaceKind.CLASS_D


def _to_mercator(lon_deg, lat_deg):
    return pyproj.Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True).transform(lon_deg, lat_deg)


def test_large_tables_are_filtered_in_the_file(tmp_path, monkeypatch):
    monkeypatch.setattr(table, "_WHOLE_UP_TO", 1)
    far = shapely.box(10, 50, 10.1, 50.1)
    path = write_geojson(tmp_path / "a.geojson", *(feature(shape, **CLASS_D) for shape in (SQUARE, far, far)))
    world = read_publisher_file(path, HERE)
    assert len(world.airspace) == 1
    assert world.layers[0].features == 3


def test_multipolygons_and_crossed_outlines_keep_their_ground(tmp_path):
    crossed = {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}
    two = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)])
    path = write_geojson(tmp_path / "a.geojson", feature(crossed, **CLASS_D), feature(two, **CLASS_D))
    outlines = [volume.outline for volume in read_publisher_file(path).airspace]
    assert sorted(outline.area for outline in outlines) == pytest.approx([0.5, 2.0])
    assert all(outline.is_valid for outline in outlines)


def test_unknown_file_names_what_it_could_be(tmp_path):
    path = write_geojson(tmp_path / "a.geojson", feature(CEILING=100, COLOUR="red"))
    with pytest.raises(ChartError) as caught:
        read_publisher_file(path)
    line = caught.value.one_line()
    assert "for facility map it lacks APT1_FAAID or APT1_ICAO or APT1_LAANC or MAP_EFF" in line
    assert "for fixed flying sites it lacks SITE_ID or SITE_NAME" in line


def test_file_names_do_not_matter(tmp_path):
    path = write_geojson(tmp_path / "facility_map.geojson", feature(**CLASS_D))
    assert len(read_publisher_file(path).airspace) == 1


def test_real_class_airspace(shared_data):
    """The authority's sample: 12 volumes of class C and D, one of them D, seven from the surface."""
    world = read_publisher_file(shared_data / "faa" / "class_airspace_sample.geojson")
    kinds = [volume.kind for volume in world.airspace]
    assert len(kinds) == 12
    assert (kinds.count(AirspaceKind.CLASS_C), kinds.count(AirspaceKind.CLASS_D)) == (11, 1)
    floors = sorted(volume.floor.m / 0.3048 for volume in world.airspace if volume.floor.m)
    assert floors == pytest.approx([1900, 2000, 2000, 2100, 2500])
    (record,) = world.layers
    assert (record.name, record.coverage, record.expires_utc) == (LayerName.CLASS_AIRSPACE, None, None)


def test_published_schema_of_cells_and_special_use(shared_data):
    cells = read_publisher_file(shared_data / "faa" / "uasfm_SYNTHETIC_to_schema.geojson")
    assert len(cells.cells) == 36
    assert {round(cell.ceiling_agl_m / 0.3048) for cell in cells.cells} == {0, 50, 100, 200, 300}
    assert "1/22/2026" in cells.layers[0].source
    (volume,) = read_publisher_file(shared_data / "faa" / "sua_SYNTHETIC_to_schema.geojson").airspace
    assert (volume.kind, volume.top.m) == (AirspaceKind.RESTRICTED, pytest.approx(4500 * 0.3048))
    assert volume.schedule == "0800 - 2200, DAILY"
