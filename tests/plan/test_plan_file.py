"""The plan file: exact both ways, plain GeoJSON to everybody else, written whole or not at all."""

import json
import os
from collections import Counter
from pathlib import Path

import attrs
import pyogrio
import pytest
import shapely
from hypothesis import given, settings

from planner.errors import OutputError, PlanFileError
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.file import plan_from_json, plan_to_json, read_plan, write_plan
from planner.plan.geometry import Area, PathPoint
from planner.plan.migrations import KNOWN_VERSION, MIGRATIONS, migrated
from planner.plan.model import Plan
from tests.plan.sample_plan import FULL_PLAN
from tests.strategies import plans

SAMPLES = Path(__file__).parent / "samples"


@settings(deadline=None)
@given(plans())
def test_a_plan_reads_back_equal_and_writes_the_same_bytes_again(plan: Plan):
    text = plan_to_json(plan)
    again = plan_from_json(text, where="text")
    assert again == plan
    assert plan_to_json(again) == text


def test_an_empty_plan_reads_back_equal():
    assert plan_from_json(plan_to_json(Plan()), where="text") == Plan()


def test_every_version_has_a_sample_and_a_step():
    versions = range(1, KNOWN_VERSION + 1)
    assert sorted(path.name for path in SAMPLES.glob("*.geojson")) == [
        f"v{version}.lowline.geojson" for version in versions
    ]
    assert sorted(MIGRATIONS) == list(versions)[:-1]


def test_the_sample_of_version_1_still_says_what_it_said():
    assert read_plan(SAMPLES / "v1.lowline.geojson") == FULL_PLAN


def test_the_format_has_not_changed_without_a_new_version():
    sample = (SAMPLES / f"v{KNOWN_VERSION}.lowline.geojson").read_text(encoding="utf-8")
    assert plan_to_json(FULL_PLAN) == sample


def test_the_sample_fills_every_part_of_the_model():
    for field in attrs.fields(Plan):
        assert getattr(FULL_PLAN, field.name) != field.default, field.name


def test_migrations_run_one_after_the_other():
    steps = {
        1: lambda document: {**document, "one": "done"},
        2: lambda document: {**document, "two": document["one"]},
    }
    assert migrated({}, 1, steps=steps, known=3) == {"one": "done", "two": "done"}
    assert migrated({}, 3, steps=steps, known=3) == {}
    with pytest.raises(PlanFileError, match="version 0, this program knows version 3"):
        migrated({}, 0, steps=steps, known=3)


def test_gdal_opens_the_file_and_finds_the_same_geometry():
    """Outside reader: GDAL's GeoJSON driver through pyogrio."""
    _, _, wkb, (kinds, *_) = pyogrio.raw.read(SAMPLES / "v1.lowline.geojson", columns=["lowline"])
    shapes = dict(zip(kinds, shapely.from_wkb(wkb), strict=True))
    assert Counter(kinds.tolist()) == {
        "area": 1,
        "path": 1,
        "launch": 1,
        "landing": 1,
        "return_point": 1,
        "landmark": 1,
        "crew": 2,
        "permission": 1,
        "restriction": 2,
        "beneath": 3,
        "stand_area": 1,
        "bail_out": 1,
        "figure_subject": 1,
    }
    assert shapes["area"].geom_type == "Polygon"
    assert shapes["path"].coords[:] == [(p.place.lon_deg, p.place.lat_deg) for p in FULL_PLAN.path]
    assert shapes["launch"].coords[:] == [(-150.2, 37.8)]


@settings(max_examples=50, deadline=None)
@given(plans())
def test_features_keep_to_the_rfc(plan: Plan):
    """RFC 7946 (standing A): 3.1.1 longitude first, 3.1.6 rings closed and counter-clockwise, 7 members."""
    document = json.loads(plan_to_json(plan))
    assert document["type"] == "FeatureCollection"
    for feature in document["features"]:
        assert feature.keys() == {"type", "geometry", "properties"}
        shape = shapely.from_geojson(json.dumps(feature["geometry"]))
        assert not shape.has_z
        assert -180 <= shape.bounds[0] <= shape.bounds[2] <= 180
        assert -90 <= shape.bounds[1] <= shape.bounds[3] <= 90
        if shape.geom_type == "Polygon":
            assert shape.is_valid
            assert shape.exterior.is_ccw
            assert feature["geometry"]["coordinates"][0][0] == feature["geometry"]["coordinates"][0][-1]


def test_a_clockwise_ring_of_another_program_is_not_rejected():
    """RFC 7946 3.1.6 (standing A): parsers should not reject rings that run the wrong way."""
    corners = tuple(Place(lon, lat) for lon, lat in ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)))
    document = json.loads(plan_to_json(Plan(area=Area(corners))))
    document["features"][0]["geometry"]["coordinates"][0].reverse()
    area = plan_from_json(json.dumps(document), where="text").area
    assert area is not None
    assert area.ring == (corners[0], *reversed(corners[1:]))


def test_a_path_of_one_point_is_a_point_since_a_line_string_needs_two():
    """RFC 7946 3.1.4 (standing A): a LineString has two or more positions."""
    plan = Plan(path=(PathPoint(Place(1.0, 2.0), AboveGround(3.0)),))
    text = plan_to_json(plan)
    assert json.loads(text)["features"][0]["geometry"] == {"type": "Point", "coordinates": [1.0, 2.0]}
    assert plan_from_json(text, where="text") == plan


def test_a_position_takes_one_line_and_text_that_looks_like_one_stays():
    name = "[\n      1.0,\n      2.0\n    ]"
    text = plan_to_json(Plan(name=name, path=(PathPoint(Place(1.0, 2.0), AboveGround(3.0)),)))
    assert '"coordinates": [1.0, 2.0]' in text
    assert plan_from_json(text, where="text").name == name


def test_a_byte_order_mark_is_no_fault(tmp_path: Path):
    path = tmp_path / "marked.lowline.geojson"
    path.write_text(plan_to_json(FULL_PLAN), encoding="utf-8-sig")
    assert read_plan(path) == FULL_PLAN


def test_write_and_read(tmp_path: Path):
    path = tmp_path / "ridge.lowline.geojson"
    write_plan(Plan(name="before"), path)
    write_plan(FULL_PLAN, path)
    assert read_plan(path) == FULL_PLAN
    assert os.listdir(tmp_path) == ["ridge.lowline.geojson"]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failed_write_leaves_the_old_file_and_nothing_else(
    step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    path = tmp_path / "ridge.lowline.geojson"
    write_plan(FULL_PLAN, path)
    before = path.read_bytes()

    def no_space(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync" if step == "fsync" else "pathlib.Path.replace", no_space)
    with pytest.raises(OutputError, match="No space left on device"):
        write_plan(Plan(name="after"), path)
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["ridge.lowline.geojson"]


def test_a_plan_that_would_not_read_back_is_not_written(tmp_path: Path):
    path = tmp_path / "ridge.lowline.geojson"
    write_plan(FULL_PLAN, path)
    with pytest.raises(OutputError, match="half a character"):
        write_plan(attrs.evolve(FULL_PLAN, name="\ud800"), path)
    assert read_plan(path) == FULL_PLAN


def test_a_link_stays_a_link_and_permission_bits_are_kept(tmp_path: Path):
    path, link = tmp_path / "ridge.lowline.geojson", tmp_path / "link.lowline.geojson"
    write_plan(Plan(), path)
    path.chmod(0o640)
    link.symlink_to(path)
    write_plan(FULL_PLAN, link)
    assert link.is_symlink()
    assert read_plan(path) == FULL_PLAN
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("name", "message"), [("gone/x.lowline.geojson", "does not exist"), ("", "this is a folder")]
)
def test_a_place_that_can_not_be_written_is_named(name: str, message: str, tmp_path: Path):
    with pytest.raises(OutputError, match=message) as caught:
        write_plan(FULL_PLAN, tmp_path / name)
    assert str(tmp_path) in caught.value.one_line()


def test_a_read_only_file_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = tmp_path / "ridge.lowline.geojson"
    write_plan(FULL_PLAN, path)
    path.chmod(0o444)
    if os.access(path, os.W_OK):  # root writes everything, so the refusal itself is played
        monkeypatch.setattr("os.access", lambda *_: False)
    with pytest.raises(OutputError, match="may not be written"):
        write_plan(Plan(), path)
    assert read_plan(path) == FULL_PLAN


def test_a_file_that_knows_no_restrictions_reads_as_one_without():
    """Files written before a plan could hold restrictions have neither key nor feature."""
    without = attrs.evolve(FULL_PLAN, restrictions=())
    text = plan_to_json(without)
    assert "restriction" not in text
    assert plan_from_json(text, where="text") == without


def test_a_restriction_without_its_outline_is_refused():
    document = json.loads(plan_to_json(FULL_PLAN))
    document["features"] = [
        feature for feature in document["features"] if feature["properties"]["lowline"] != "restriction"
    ]
    with pytest.raises(PlanFileError, match=r"lowline\.restrictions\[0\] but no restriction feature 1"):
        plan_from_json(json.dumps(document), where="text")
    document = json.loads(plan_to_json(FULL_PLAN))
    del document["lowline"]["restrictions"]
    with pytest.raises(PlanFileError, match="restriction feature 1 but no entry"):
        plan_from_json(json.dumps(document), where="text")
