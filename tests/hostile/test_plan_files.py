"""Broken plan files: each gives one clear line and nothing else."""

import os
import stat
from pathlib import Path
from typing import Any

import pytest

from planner.errors import PlanFileError
from planner.plan.file import read_plan
from planner.plan.file_text import LARGEST_BYTES
from tests.hostile.plan_complaints import TEXT, Change, changed, complaint, one_clear_line


def feature(document: dict[str, Any], kind: str) -> dict[str, Any]:
    return next(one for one in document["features"] if one["properties"]["lowline"] == kind)


def coordinates(document: dict[str, Any], kind: str) -> list[Any]:
    return feature(document, kind)["geometry"]["coordinates"]


# --- the file itself


def file_complaint(path: Path) -> str:
    with pytest.raises(PlanFileError) as caught:
        read_plan(path)
    line = one_clear_line(caught.value)
    assert str(path) in line
    return line


def test_missing(tmp_path: Path):
    assert "there is no such file" in file_complaint(tmp_path / "gone.lowline.geojson")


def test_missing_folder(tmp_path: Path):
    assert "there is no such file" in file_complaint(tmp_path / "gone" / "x.lowline.geojson")


def test_a_file_taken_for_a_folder(tmp_path: Path):
    (tmp_path / "file").touch()
    assert "can't be read" in file_complaint(tmp_path / "file" / "x.lowline.geojson")


def test_a_folder(tmp_path: Path):
    assert "this is a folder" in file_complaint(tmp_path)


def test_a_name_too_long(tmp_path: Path):
    assert "can't be read" in file_complaint(tmp_path / ("x" * 300))


def test_a_name_with_a_null():
    with pytest.raises(PlanFileError, match="can't be read") as caught:
        read_plan(Path("a\0b"))
    one_clear_line(caught.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_does_not_hang(tmp_path: Path):
    os.mkfifo(tmp_path / "pipe")
    assert "not a regular file" in file_complaint(tmp_path / "pipe")


def test_no_read_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = tmp_path / "locked.lowline.geojson"
    path.write_text(TEXT, encoding="utf-8")
    path.chmod(0)
    if os.access(path, os.R_OK):  # root reads everything, so the refusal itself is played

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("pathlib.Path.open", refuse)
    assert "may not be read" in file_complaint(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0


def test_not_utf8(tmp_path: Path):
    path = tmp_path / "latin.lowline.geojson"
    path.write_bytes(b'{"type": "\xe9"}')
    assert "byte 11 is not UTF-8 text" in file_complaint(path)


@pytest.mark.parametrize("content", [b"", b"  \n", b"\xef\xbb\xbf"])
def test_empty(content: bytes, tmp_path: Path):
    path = tmp_path / "empty.lowline.geojson"
    path.write_bytes(content)
    assert "the file is empty" in file_complaint(path)


def test_too_large(tmp_path: Path):
    path = tmp_path / "large.lowline.geojson"
    with path.open("wb") as stream:
        stream.truncate(LARGEST_BYTES + 1)
    assert "larger than 20 MB" in file_complaint(path)


# --- JSON


def test_not_json_says_line_and_column():
    assert "line 2 column 3: not JSON" in complaint("{\n  type: 5}")


@pytest.mark.parametrize("opening", ["[", '{"a":'])
def test_nested_too_deep(opening: str):
    assert "nested too deep" in complaint(opening * 200_000)


def test_deep_nesting_where_a_value_belongs():
    deep = "[" * 300 + "]" * 300
    assert "lowline.name: is a list, not a text" in complaint(
        TEXT.replace('"name": "Ridge line (INVENTED)"', f'"name": {deep}')
    )


def test_a_key_twice():
    assert "'purpose' stands twice" in complaint(
        TEXT.replace('"purpose": "recreational"', '"purpose": "part-107", "purpose": "recreational"')
    )


@pytest.mark.parametrize("text", ["[]", "5", "null", '"plan"', "true"])
def test_wrong_top_level(text: str):
    assert "a plan is an object" in complaint(text)


# --- GeoJSON, and the version


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda d: d.update(type="Feature"), "'type' is 'Feature', a plan is a 'FeatureCollection'"),
        (lambda d: d.pop("lowline"), "this GeoJSON file is not a plan"),
        (lambda d: d.update(lowline=[]), "this GeoJSON file is not a plan"),
        (lambda d: d.update(crs={}), "a plan has no member 'crs'"),
        (lambda d: d["lowline"].update(version=2), "of version 2, this program knows version 1"),
        (lambda d: d["lowline"].update(version=0), "of version 0, this program knows version 1"),
        (lambda d: d["lowline"].update(version=10**290), "this program knows version 1"),
        (lambda d: d["lowline"].update(version="1"), "the version is '1', not a whole number"),
        (lambda d: d["lowline"].update(version=True), "the version is True, not a whole number"),
        (lambda d: d["lowline"].pop("version"), "lowline.version: is missing"),
        (lambda d: d.pop("features"), "features: is null, not a list"),
        (lambda d: d["features"].insert(0, 5), "feature 1: is not an object of type 'Feature'"),
        (lambda d: feature(d, "area").update(geometry=None), "geometry is null"),
        (lambda d: feature(d, "area").update(properties=None), "properties is null"),
        (lambda d: feature(d, "area")["properties"].update(lowline="aria"), "properties.lowline is 'aria'"),
        (lambda d: feature(d, "area")["properties"].update(lowline={}), "properties.lowline is {}"),
        (lambda d: feature(d, "area")["properties"].update(color="red"), "the key 'color' is not known"),
        (lambda d: feature(d, "area").update(bbox=[]), "the key 'bbox' is not known"),
        (lambda d: d["features"].append(feature(d, "area")), "two features of area"),
        (lambda d: d["features"].append(feature(d, "crew")), "two features of crew 'pilot'"),
        (lambda d: feature(d, "crew")["properties"].pop("key"), "properties.key is None"),
        (lambda d: feature(d, "permission")["properties"].update(number=1.0), "properties.number is 1.0"),
    ],
)
def test_malformed_collections(change: Change, message: str):
    assert message in complaint(changed(change))


@pytest.mark.parametrize(
    ("kind", "geometry"), [("area", "MultiPolygon"), ("path", "MultiLineString"), ("launch", "LineString")]
)
def test_wrong_geometry(kind: str, geometry: str):
    line = complaint(changed(lambda d: feature(d, kind)["geometry"].update(type=geometry)))
    assert f"{kind}: its geometry is '{geometry}'" in line


def set_position(kind: str, *steps: int, to: object) -> Change:
    def change(document: dict[str, Any]) -> None:
        values = coordinates(document, kind)
        for step in steps[:-1]:
            values = values[step]
        values[steps[-1]] = to

    return change


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (set_position("path", 2, 0, to=float("nan")), "path point 3: longitude nan"),
        (set_position("path", 2, 1, to=float("-inf")), "path point 3: latitude -inf"),
        (set_position("path", 2, 0, to=180.0001), "path point 3: longitude 180.0001 is not between"),
        (set_position("path", 0, 1, to=-90.0001), "path point 1: latitude -90.0001 is not between"),
        (set_position("path", 0, 1, to=10**299), "path point 1: latitude"),
        (set_position("area", 0, 1, 1, to=float("nan")), "area corner 2: latitude nan"),
        (set_position("launch", 0, to=float("nan")), "launch: longitude nan"),
        (set_position("path", 1, 1, to="37.8"), "path point 2: the position"),
        (set_position("path", 1, 1, to=True), "path point 2: the position"),
        (set_position("path", 1, to=[1.0, 2.0, 3.0]), "heights belong into the member 'lowline'"),
        (set_position("path", 1, to=None), "path point 2: the position None"),
        (set_position("area", 0, 4, to=[0.0, 0.0]), "area: its ring is not closed"),
        (set_position("area", 0, to=5), "area: its coordinates hold a number"),
        (lambda d: coordinates(d, "area").append(coordinates(d, "area")[0]), "area: its polygon has 2 rings"),
        (lambda d: feature(d, "path")["geometry"].update(coordinates=[]), "fewer than two positions"),
    ],
)
def test_wrong_positions(change: Change, message: str):
    assert message in complaint(changed(change))


def test_a_number_too_long_for_any_float():
    text = TEXT.replace("[-150.198, 37.802]", f"[-150.198, {'9' * 5000}]")
    assert text != TEXT
    assert "path point 2: latitude inf" in complaint(text)


@pytest.mark.parametrize("kind", ["area", "permission"])
def test_a_self_crossing_area(kind: str):
    ring = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0], [0.0, 0.0]]
    line = complaint(changed(lambda d: feature(d, kind)["geometry"].update(coordinates=[ring])))
    assert "cross each other" in line
    assert f"lowline.{kind}" in line


def test_an_area_without_extent():
    ring = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 0.0]]
    assert "has no extent" in complaint(
        changed(lambda d: feature(d, "area")["geometry"].update(coordinates=[ring]))
    )


# --- features and member must match


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda d: d["features"].remove(feature(d, "launch")), "has lowline.launch but no launch feature"),
        (lambda d: d["lowline"].pop("launch"), "has launch feature but no lowline.launch"),
        (lambda d: d["features"].remove(feature(d, "area")), "has lowline.area but no area feature"),
        (lambda d: d["lowline"].pop("area"), "has area feature but no lowline.area"),
        (lambda d: coordinates(d, "path").pop(), "path feature has 2 positions, lowline.path has 3 entries"),
        (lambda d: d["features"].remove(feature(d, "path")), "has 0 positions, lowline.path has 3 entries"),
        (lambda d: d["lowline"].pop("path"), "has 3 positions, lowline.path has 0 entries"),
        (lambda d: d["lowline"]["crew"].pop(0), "crew feature 'pilot' but no entry"),
        (lambda d: d["lowline"].update(permissions=[]), "permission feature 1 but no entry"),
        (
            lambda d: d["features"].remove(feature(d, "permission")),
            "has lowline.permissions[0].drawn_clockwise but no permission feature 1",
        ),
        (lambda d: d["lowline"]["launch"].update(place=[0, 0]), "positions belong into the features"),
        (lambda d: d["lowline"]["path"][1].update(place=[0, 0]), "positions belong into the features"),
    ],
)
def test_features_without_entries_and_entries_without_features(change: Change, message: str):
    assert message in complaint(changed(change))
