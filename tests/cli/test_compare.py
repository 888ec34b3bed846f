"""`lowline compare`: two plans, or one plan by two sets of data; exit codes, and the documented JSON."""

import json
import shutil

import jsonschema
import pytest

from planner.cli import main
from planner.locate import demo_missions_dir, resources_dir
from planner.plan.edits import SetName
from planner.plan.file import read_plan, write_plan

RIDGE = demo_missions_dir() / "ridge_line.lowline.geojson"
LEVEL, SINKING = (demo_missions_dir() / f"cliff_{kind}.lowline.geojson" for kind in ("level", "sink_line"))


@pytest.fixture(scope="module")
def schema():
    return json.loads((resources_dir() / "compare.schema.json").read_text("utf-8"))


def answer_of(words, capsys):
    code = main([*words, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_two_plans_whose_verdicts_differ(capsys, schema):
    assert main(["compare", str(LEVEL), str(SINKING)]) == 40
    text = capsys.readouterr().out
    assert text.startswith("INVENTED PLACE\n")
    assert "Must change. 224 ft above the limit. → Ready" in text
    assert max(map(len, text.splitlines())) <= 100
    code, answer = answer_of(["compare", str(LEVEL), str(SINKING)], capsys)
    assert code == 40
    jsonschema.validate(answer, schema, cls=jsonschema.Draft202012Validator)
    assert set(answer["changes"][0]) == set(schema["properties"]["changes"]["items"]["properties"])
    assert (answer["before"]["verdict"], answer["after"]["verdict"]) == ("must-change", "ready")
    assert answer["verdict_or_permissions_changed"]


def test_what_changes_no_verdict_exits_zero_and_is_told(tmp_path, capsys):
    other = tmp_path / "other.lowline.geojson"
    write_plan(SetName("Another name (INVENTED)").apply(read_plan(RIDGE)), other)
    code, answer = answer_of(["compare", str(RIDGE), str(other)], capsys)
    assert code == 0
    assert [change["key"] for change in answer["changes"]] == ["name"]
    assert main(["compare", str(RIDGE), str(RIDGE)]) == 0
    assert "Nothing changed" in capsys.readouterr().out


def test_a_plan_against_newer_charts(tmp_path, capsys):
    newer = tmp_path / "newer"
    shutil.copytree(resources_dir() / "island", newer, ignore=shutil.ignore_patterns("build"))
    _edit_effective(newer / "set.json")
    code, answer = answer_of(["compare", str(RIDGE), "--charts", str(newer)], capsys)
    assert answer["before"]["label"].endswith("by its own charts")
    (change,) = answer["changes"]
    assert (change["topic"], change["key"]) == ("data", "layer:class_airspace")
    assert change["before"].startswith("1 Jan 2026")
    assert change["after"].startswith("1 Feb 2026")
    assert code == 0


def test_a_part_of_the_data_alone_leaves_the_answer_open(capsys):
    alone = resources_dir() / "island" / "charts.gpkg"
    code, answer = answer_of(["compare", str(RIDGE), "--charts", str(alone)], capsys)
    assert code == 40
    assert answer["after"]["verdict"] == "undetermined"
    assert {"ceiling-no-longer-known", "least-room"} <= {change["key"] for change in answer["changes"]}


@pytest.mark.parametrize(
    "words",
    [
        ["compare"],
        ["compare", str(RIDGE)],
        ["compare", str(RIDGE), "no-such-file.lowline.geojson"],
        ["compare", str(RIDGE), "--charts", "no-such.gpkg"],
        ["compare", str(RIDGE), str(RIDGE), str(RIDGE)],
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(words, capsys):
    assert main(words) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("lowline: ")
    assert printed.err.count("\n") == 1


def _edit_effective(path):
    content = json.loads(path.read_text("utf-8"))
    layer = content["layers"]["class_airspace"]
    layer["effective"] = layer["effective"].replace("2026-01-01", "2026-02-01")
    path.write_text(json.dumps(content), "utf-8")
