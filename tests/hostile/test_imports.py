"""Broken files of every kind on their way into a chart set: one clear line, or every feature counted.

Whatever comes, the set is whole afterwards, and what was in it before is still there if nothing came in.
"""

import json
import time

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import LowlineError
from planner.world.layers import LayerName
from planner.world.readers.kinds import KINDS
from planner.world.readers.recognise import recognise
from planner.world.set_record import read_set_record
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.hostile.test_chart_files import one_clear_line
from tests.world.chart_files import CLASS_D, feature, write_geojson

SOON_S = 10.0
SOME = settings(deadline=None, max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
LAYERS = sorted(KINDS)
NEAR = (-150.2, 37.8)
NUMBERS = st.one_of(
    st.floats(-179, 179), st.sampled_from([1e6, -1e300, 1e308, 181.0, -91.0, 90.0, 0.0, -0.0, 1e-320])
)
SPOTS = st.tuples(NUMBERS, NUMBERS).map(list)
RINGS = st.lists(SPOTS, max_size=7).map(lambda ring: [*ring, ring[0]] if ring else ring)
GOOD_RING = [[-150.2, 37.8], [-150.1, 37.8], [-150.1, 37.9], [-150.2, 37.8]]
SHAPES = st.one_of(
    st.none(),
    st.builds(lambda spot: {"type": "Point", "coordinates": spot}, SPOTS),
    st.builds(lambda line: {"type": "LineString", "coordinates": line}, st.lists(SPOTS, max_size=5)),
    st.builds(lambda rings: {"type": "Polygon", "coordinates": rings}, st.lists(RINGS, max_size=2)),
    st.builds(
        lambda rings: {"type": "MultiPolygon", "coordinates": rings}, st.lists(st.lists(RINGS, max_size=2))
    ),
    st.just({"type": "Polygon", "coordinates": [GOOD_RING]}),
    st.just({"type": "Point", "coordinates": list(NEAR)}),
    st.just({"type": "LineString", "coordinates": GOOD_RING[:2]}),
    st.just({"type": "GeometryCollection", "geometries": []}),
)
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**12), 10**12),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(
        ["", "0", "SFC", "-9998", "9999999999999999999999", "100 AGL", "FT", "R", "H24", "x" * 500]
    ),
    st.text(max_size=20),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)


def columns_of(layer):
    """Give the attribute names by which a kind of file is known."""
    return [min(group) for group in KINDS[layer].recognised_by] or ["NAME"]


def hold(tmp_path):
    """Give a set that holds one good layer."""
    folder = tmp_path / f"set-{time.perf_counter_ns()}"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    good = write_geojson(tmp_path / "good.geojson", feature(**CLASS_D))
    add_files(folder, [good], Statement())
    return folder


def whole(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix in {".json", ".gpkg"}}


def brought(folder, path, layer=None):
    """Add a file that may be anything; return what came in, or None after one clear line."""
    before = whole(folder)
    started_s = time.process_time()
    try:
        recognise(path)
    except LowlineError as error:
        one_clear_line(error)
    refused = None
    try:
        added = add_files(folder, [path], Statement(layer=layer))
    except LowlineError as error:
        refused = error
    # The processor's time: several tests may run at once here.
    assert time.process_time() - started_s < 1.5 * SOON_S
    if refused is not None:
        one_clear_line(refused)
        assert whole(folder) == before
        return None
    entries = {entry.record.name: entry for entry in read_set_record(folder / "set.json").layers}
    for one in added:
        quality = entries[one.layer].quality
        kept = entries[one.layer].record.features
        # Nothing is dropped in silence.
        assert kept + quality.refused >= quality.read > 0
        assert bool(quality.reasons) == bool(quality.refused)
        assert all(reason.isprintable() for reason in quality.reasons)
    world = read_chart_set(folder)
    damaged = {record.name for record in world.layers if record.damage}
    assert {one.layer for one in added if entries[one.layer].quality.refused} <= damaged
    return added


@pytest.mark.parametrize("layer", LAYERS)
@given(data=st.data())
@SOME
def test_attributes_and_shapes_of_any_kind(tmp_path, layer, data):
    names = columns_of(layer)
    rows = data.draw(
        st.lists(
            st.tuples(SHAPES, st.fixed_dictionaries(dict.fromkeys(names, VALUES))), min_size=1, max_size=4
        )
    )
    path = write_geojson(tmp_path / "a.geojson", *(feature(shape, **row) for shape, row in rows))
    brought(hold(tmp_path), path, LayerName(layer))


@pytest.mark.parametrize("layer", LAYERS)
@pytest.mark.parametrize("share", [0.5, 0.999])
def test_truncated(tmp_path, layer, share):
    rows = [feature({"type": "Point", "coordinates": list(NEAR)}, **dict.fromkeys(columns_of(layer), "1"))]
    path = write_geojson(tmp_path / "a.geojson", *rows * 20)
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * share)])
    brought(hold(tmp_path), path, LayerName(layer))


@pytest.mark.parametrize("layer", LAYERS)
def test_deep_nesting(tmp_path, layer):
    deep = '{"a":' * 20_000 + "1" + "}" * 20_000
    names = ",".join(f'"{name}":{deep}' for name in columns_of(layer))
    path = tmp_path / "a.geojson"
    path.write_text(
        '{"type":"FeatureCollection","features":[{"type":"Feature","geometry":'
        f'{{"type":"Point","coordinates":[0,0]}},"properties":{{{names}}}}}]}}'
    )
    brought(hold(tmp_path), path, LayerName(layer))


# One of each way into the set: columns by the thousand, rows, rows as published, tags, circles about points.
@pytest.mark.parametrize(
    "layer", ["class_airspace", "aerodromes", "stadiums", "park_lands", "temporary_restrictions"]
)
@pytest.mark.parametrize("tangled", [False, True])
def test_a_ring_of_very_many_corners(tmp_path, layer, tangled):
    # A million takes seconds each: one way into the set is asked that much, the others less.
    count = 1_000_000 if layer == "class_airspace" else 150_000
    turn = np.linspace(0, 2 * np.pi, count)
    if tangled:
        spots = np.random.default_rng(3).uniform(0, 1, (count, 2))
        spots[-1] = spots[0]
    else:
        spots = np.column_stack([np.cos(turn), np.sin(turn)])
        spots[-1] = spots[0]
    ring = ",".join(f"[{x:.7f},{y:.7f}]" for x, y in (spots + np.array(NEAR)).tolist())
    names = json.dumps(dict.fromkeys(columns_of(layer), "1"))
    path = tmp_path / "a.geojson"
    path.write_text(
        '{"type":"FeatureCollection","features":[{"type":"Feature","geometry":'
        f'{{"type":"Polygon","coordinates":[[{ring}]]}},"properties":{names}}}]}}'
    )
    brought(hold(tmp_path), path, LayerName(layer))
