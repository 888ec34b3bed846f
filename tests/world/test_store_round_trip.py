"""What is written into a chart set comes back as it was: every layer, every field of every feature."""

import json
from datetime import UTC, datetime

import attrs
import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geo.place import Place
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.merge import TOLD_BY, fingerprint
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.store.columns import decoded, encoded, feature_kinds
from planner.world.structures import Structure
from tests.world.chart_files import CLASS_D, ISLAND, feature, write_geojson

SAMPLES = (
    "faa/class_airspace_sample.geojson",
    "faa/uasfm_SYNTHETIC_to_schema.geojson",
    "faa/sua_SYNTHETIC_to_schema.geojson",
    "dof/47-TN.Dat",
    "dof/11-DC.Dat",
    "aixm/Donlon_Airspace.xml",
    "ed318/Example_Collection.json",
    "ed318/wild_swiss_trimmed.json",
    "ed318/wild_spanish_trimmed.json",
    "ed269/ed269_SYNTHETIC.json",
    "aerodromes/runways_us.csv",
    "aerodromes/frequencies_us.csv",
)


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    return folder


def contents(world):
    """Return what every feature says, without keys made from content, by the name of its field."""
    return {
        name: sorted(fingerprint(_without_made_key(item)) for item in getattr(world, name))
        for name in feature_kinds()
    }


def _without_made_key(item):
    key = getattr(item, "key", "")
    return attrs.evolve(item, key="") if ":" in key or "#" in key else item


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_files_come_back_whole(shared_data, folder, name):
    path = shared_data / name
    straight = read_publisher_file(path)
    added = add_files(folder, [path], Statement())
    stored = read_chart_set(folder)
    assert contents(stored) == contents(straight)
    assert sum(map(len, contents(stored).values())) > 0
    parts = read_chart_file(path)
    assert {item.layer: item.quality.read for item in added} == {p.layer: p.table.total for p in parts}
    assert not [record.damage for record in stored.layers if record.damage]


def test_every_layer_of_the_island_comes_back_whole(folder):
    add_files(folder, [ISLAND / "charts.gpkg"], Statement())
    stored, straight = read_chart_set(folder), read_chart_set(ISLAND, with_terrain=False)
    assert contents(stored) == contents(straight)
    listed = {record.name for record in straight.layers} - {LayerName.TERRAIN}
    assert {record.name for record in stored.layers} == listed
    assert not [record.damage for record in stored.layers if record.damage]


def test_near_features_only_are_read_through_the_index(shared_data, folder):
    add_files(folder, [shared_data / "dof" / "47-TN.Dat"], Statement())
    knoxville = Extent(-83.95, 35.95, -83.9, 36.0)
    near = read_chart_set(folder, knoxville).structures
    whole = read_chart_set(folder).structures
    box = knoxville.grown(50_000.0)
    expected = {structure.key for structure in whole if box.holds(structure.place)}
    # The index rounds boxes outward to single precision.
    assert expected <= {structure.key for structure in near}
    assert len(near) <= len(expected) + 5 < len(whole) / 2


def test_files_of_one_layer_given_together_become_that_layer(shared_data, folder):
    (added,) = add_files(folder, [shared_data / "dof" / n for n in ("47-TN.Dat", "11-DC.Dat")], Statement())
    # Counts of the files' own records: README of the sample data.
    assert added.quality.read == 7_570 + 503
    assert len(read_chart_set(folder).structures) == 7_570 + 503


def test_any_gis_opens_the_set(folder, tmp_path):
    source = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D))
    add_files(folder, [source], Statement())
    found = pyogrio.read_info(folder / "charts.gpkg", layer="class_airspace")
    assert (found["features"], found["crs"]) == (1, "EPSG:4326")
    assert {"name", "kind", "floor_reference", "floor_m", "top_m"} <= set(found["fields"])
    content = json.loads((folder / "set.json").read_text(encoding="utf-8"))
    assert content["layers"]["class_airspace"]["features"] == 1
    assert content["layers"]["class_airspace"]["coverage"] is None


texts = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), max_size=20)
figures = st.one_of(st.none(), st.floats(-1e6, 1e6))
moments = st.one_of(st.none(), st.datetimes(timezones=st.just(UTC)).map(lambda at: at.replace(fold=0)))
metres = st.floats(-500, 30_000).map(lambda m: m + 0.0)  # -0.0 is 0.0
limits = st.builds(VerticalLimit, st.sampled_from(LimitReference), metres)
places = st.builds(Place, st.floats(-180, 180), st.floats(-90, 90))
volumes = st.builds(
    AirspaceVolume,
    key=texts,
    name=texts,
    kind=st.sampled_from(AirspaceKind),
    outline=st.just(shapely.box(0.1, 0.2, 1.3, 1.7)),
    floor=limits,
    top=limits,
    schedule=texts,
    active_from_utc=moments,
    active_to_utc=moments,
)
structures = st.builds(
    Structure, texts, texts, places, figures, figures, figures, figures, st.booleans(), st.booleans(),
    st.booleans(), texts,
)  # fmt: skip


@settings(max_examples=40)
@given(st.lists(volumes, max_size=5), st.lists(structures, max_size=5))
def test_columns_lose_nothing(some_volumes, some_structures):
    for kind, features in ((AirspaceVolume, some_volumes), (Structure, some_structures)):
        columns = encoded(kind, features)
        cells = {
            name: [None if isinstance(v, float) and np.isnan(v) else v for v in values.tolist()]
            for name, values in zip(columns.names, columns.values, strict=True)
        }
        back = decoded(kind, cells, shapely.from_wkb(columns.shapes))
        assert list(map(fingerprint, back)) == list(map(fingerprint, features))


def test_every_kind_of_feature_has_columns():
    for kind in feature_kinds().values():
        columns = encoded(kind, [])
        assert columns.names
        named = {field.name for field in attrs.fields(kind)} - {TOLD_BY}
        covered = {name.removesuffix("_reference").removesuffix("_m") for name in columns.names}
        assert len(named - covered - set(columns.names)) <= 1  # the place or outline is the shape


def test_facility_map_says_its_own_date(shared_data, folder):
    (added,) = add_files(folder, [shared_data / "faa" / "uasfm_SYNTHETIC_to_schema.geojson"], Statement())
    assert "MAP_EFF 1/22/2026" in added.entry["source"]
    (record,) = read_chart_set(folder).layers
    # A bare day counts from its end: when in it an edition changes is not said.
    assert record.effective_utc == datetime(2026, 1, 23, tzinfo=UTC)
    assert record.expires_utc is None
