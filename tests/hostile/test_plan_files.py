"""Broken plan files: each gives one clear line and nothing else."""

import json
import os
import random
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import LowlineError, PlanFileError
from planner.plan.file import plan_from_json, plan_to_json, read_plan
from planner.plan.file_text import LARGEST_BYTES
from planner.plan.model import Plan
from tests.plan.sample_plan import FULL_PLAN

TEXT = plan_to_json(FULL_PLAN)

Change = Callable[[dict[str, Any]], object]


def complaint(text: str) -> str:
    with pytest.raises(PlanFileError) as caught:
        plan_from_json(text, where="ridge.plan.geojson")
    return one_clear_line(caught.value)


def one_clear_line(error: LowlineError) -> str:
    line = error.one_line()
    assert line.isprintable()
    assert len(line) < 700
    assert error.remedy, line
    return line


def changed(change: Change) -> str:
    document = json.loads(TEXT)
    change(document)
    return json.dumps(document)


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
    assert "there is no such file" in file_complaint(tmp_path / "gone.plan.geojson")


def test_missing_folder(tmp_path: Path):
    assert "there is no such file" in file_complaint(tmp_path / "gone" / "x.plan.geojson")


def test_a_file_taken_for_a_folder(tmp_path: Path):
    (tmp_path / "file").touch()
    assert "can't be read" in file_complaint(tmp_path / "file" / "x.plan.geojson")


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
    path = tmp_path / "locked.plan.geojson"
    path.write_text(TEXT, encoding="utf-8")
    path.chmod(0)
    if os.access(path, os.R_OK):  # root reads everything, so the refusal itself is played

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("pathlib.Path.open", refuse)
    assert "may not be read" in file_complaint(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0


def test_not_utf8(tmp_path: Path):
    path = tmp_path / "latin.plan.geojson"
    path.write_bytes(b'{"type": "\xe9"}')
    assert "byte 11 is not UTF-8 text" in file_complaint(path)


@pytest.mark.parametrize("content", [b"", b"  \n", b"\xef\xbb\xbf"])
def test_empty(content: bytes, tmp_path: Path):
    path = tmp_path / "empty.plan.geojson"
    path.write_bytes(content)
    assert "the file is empty" in file_complaint(path)


def test_too_large(tmp_path: Path):
    path = tmp_path / "large.plan.geojson"
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
        (lambda d: d["features"].append(5), "feature 8: is not an object of type 'Feature'"),
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


# --- the member


@pytest.mark.parametrize(
    ("change", "where", "message"),
    [
        (lambda m: m["area"]["top"].pop("reference"), "lowline.area.top", "a height has no reference"),
        (lambda m: m["area"].update(top=36.6), "lowline.area.top", "a height has no reference"),
        (
            lambda m: m["path"][2].update(height=36.6),
            "path point 3 (lowline.path[2].height)",
            "a height has no reference",
        ),
        (lambda m: m["path"][2].pop("height"), "path point 3 (lowline.path[2].height)", "is missing"),
        (
            lambda m: m["area"]["top"].update(reference="above-sea"),
            "lowline.area.top",
            "unknown reference 'above-sea'",
        ),
        (lambda m: m["area"]["top"].update(reference=5), "lowline.area.top", "the reference 5"),
        (lambda m: m["area"]["top"].update(ft=5), "lowline.area.top", "not a reference and a number m"),
        (lambda m: m["area"]["top"].update(m="60"), "lowline.area.top", "is '60', not a finite number"),
        (lambda m: m["area"]["top"].update(m=float("nan")), "lowline.area.top", "is nan, not a finite"),
        (lambda m: m["area"]["top"].update(m=True), "lowline.area.top", "is True, not a finite"),
        (lambda m: m["area"]["top"].update(m=10_001), "lowline.area.top", "is not between -500 and 10000 m"),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg=-1),
            "lowline.aircraft.take_off_weight_kg",
            "not a number above zero",
        ),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg="0.68"),
            "lowline.aircraft.take_off_weight_kg",
            "is '0.68', not a finite number",
        ),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg=True),
            "lowline.aircraft.take_off_weight_kg",
            "is True, not a finite number",
        ),
        (
            lambda m: m["aircraft"].pop("take_off_weight_kg"),
            "lowline.aircraft.take_off_weight_kg",
            "is missing",
        ),
        (
            lambda m: m["aircraft"]["battery"].update(cells=6.0),
            "lowline.aircraft.battery.cells",
            "is 6.0, not a whole number",
        ),
        (
            lambda m: m["aircraft"]["radios"][1].update(use="picture"),
            "lowline.aircraft.radios[1].use",
            "is 'picture'; use one of control, video",
        ),
        (
            lambda m: m["aircraft"].update(propeller_guards=0),
            "lowline.aircraft.propeller_guards",
            "is 0, not true or false",
        ),
        (lambda m: m["aircraft"].update(wings=2), "lowline.aircraft", "the key 'wings' is not known"),
        (lambda m: m.update(verdict="ready"), "lowline", "the key 'verdict' is not known"),
        (lambda m: m.update(name=5), "lowline.name", "is 5, not a text"),
        (lambda m: m.update(name=["x"]), "lowline.name", "is a list, not a text"),
        (lambda m: m.update(name="\ud800"), "lowline.name", "holds half a character"),
        (lambda m: m.update(saved_as_draft="false"), "lowline.saved_as_draft", "is 'false', not true"),
        (lambda m: m.update(saved_as_draft=None), "lowline.saved_as_draft", "is null, not true or false"),
        (lambda m: m.update(chart_sets="demo"), "lowline.chart_sets", "is 'demo', not a list"),
        (lambda m: m.update(chart_sets={"demo": 1}), "lowline.chart_sets", "is an object, not a list"),
        (lambda m: m.update(chart_sets=[1]), "lowline.chart_sets[0]", "is 1, not a text"),
        (lambda m: m.update(structures_standing=[["x"]]), "lowline.structures_standing[0]", "is a list"),
        (lambda m: m.update(crew={}), "lowline.crew", "is an object, not a list"),
        (lambda m: m.update(crew=5), "lowline.crew", "is 5, not a list"),
        (lambda m: m.update(launch=5), "lowline.launch", "is 5, not an object"),
        (lambda m: m.update(area=[]), "lowline.area", "is a list, not an object"),
        (lambda m: m.update(path=[1, 2, 3]), "path point 1 (lowline.path[0])", "is 1, not an object"),
        (lambda m: m["crew"][2].update(key="pilot"), "lowline", "two crew members have the same key"),
        (lambda m: m["crew"][2].update(key=" "), "lowline.crew[2].key", "is empty"),
        (lambda m: m["crew"].append(None), "lowline.crew[3]", "is null, not an object"),
        (
            lambda m: m["crew"][1]["tried_ranges"][0].update(on="2026-05-32"),
            "lowline.crew[1].tried_ranges[0].on",
            "'2026-05-32' is not a date",
        ),
        (
            lambda m: m["window"].update(start_utc="2026-08-01T19:00:00"),
            "lowline.window.start_utc",
            "no offset from UTC",
        ),
        (lambda m: m["window"].update(start_utc=5), "lowline.window.start_utc", "is 5, not a time"),
        (
            lambda m: m["window"].update(start_utc="0001-01-01T00:00:00+10:00"),
            "lowline.window.start_utc",
            "is not a time",
        ),
        (lambda m: m["window"].update(end_utc="2026-08-01T19:00:00Z"), "lowline.window", "ends before"),
        (lambda m: m["window"].update(zone="../../etc/passwd"), "lowline.window", "is not known"),
        (lambda m: m["window"].update(zone="\0"), "lowline.window", "is not known"),
        (lambda m: m["area"].pop("drawn_clockwise"), "lowline.area.drawn_clockwise", "is missing"),
        (lambda m: m["area"].update(drawn_clockwise=1), "lowline.area.drawn_clockwise", "is 1, not true"),
        (lambda m: m.update({"x\n\x1b[31m" + "y" * 9_000: 1}), "lowline", "is not known"),
    ],
)
def test_wrong_values(change: Change, where: str, message: str):
    line = complaint(changed(lambda document: change(document["lowline"])))
    assert where in line
    assert message in line


# --- anything at all


def outcome_is_a_plan_or_one_line(read: Callable[[], Plan]) -> None:
    try:
        plan = read()
    except LowlineError as error:
        line = error.one_line()
        assert line
        assert len(line.splitlines()) == 1
    else:
        assert plan_from_json(plan_to_json(plan), where="again") == plan


@settings(max_examples=400, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_bytes_changed_at_random(tmp_path: Path, data: st.DataObject):
    content = bytearray(TEXT.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        length = data.draw(st.sampled_from([0, 1, 1, 5, 200]))
        content[at : at + length] = data.draw(st.binary(max_size=4))
    path = tmp_path / "fuzzed.plan.geojson"
    path.write_bytes(content)
    outcome_is_a_plan_or_one_line(lambda: read_plan(path))


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


def spots_in(value: object) -> list[tuple[Any, Any]]:
    """Every place in a document where a value stands: its container and key."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [spot for key, inner in steps for spot in ((value, key), *spots_in(inner))]


@settings(max_examples=600)
@given(seed=st.integers(0, 2**32), value=JSON_VALUES, action=st.sampled_from(["replace", "remove", "swap"]))
def test_values_changed_at_random(seed: int, value: object, action: str):
    document = json.loads(TEXT)
    spots = spots_in(document)
    chance = random.Random(seed)
    container, key = chance.choice(spots)
    if action == "replace":
        container[key] = value
    elif action == "remove":
        del container[key]
    else:
        other, other_key = chance.choice(spots)
        container[key] = json.loads(json.dumps(other[other_key]))
    outcome_is_a_plan_or_one_line(lambda: plan_from_json(json.dumps(document), where="text"))


@given(st.text(max_size=300))
def test_any_text(text: str):
    outcome_is_a_plan_or_one_line(lambda: plan_from_json(text, where="text"))
