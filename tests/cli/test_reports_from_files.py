"""`lowline check PLAN --metar FILE --taf FILE`: reports of text files in place of the plan's own.

Codes are those of WMO FM 15 and FM 51: +TSRA is a thunderstorm (code table 4678, from memory).
"""

import json
from datetime import timedelta

from planner.cli import main
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan

RIDGE = demo_missions_dir() / "ridge_line.lowline.geojson"
BEGINS = read_plan(RIDGE).window.start_utc


def report(tmp_path, groups, kind="METAR"):
    at = BEGINS - timedelta(minutes=10)
    until = at + timedelta(hours=9)
    hours = f" {at:%d%H}/{until:%d%H}" if kind == "TAF" else ""
    path = tmp_path / f"{kind.lower()}.txt"
    path.write_text(f"{kind} XINV {at:%d%H%M}Z{hours} {groups}\n")
    return path


def codes(words, capsys):
    code = main([*map(str, words), "--json"])
    return code, {one["rule"]: one["mark"] for one in json.loads(capsys.readouterr().out)["findings"]}


def test_a_report_from_a_file_counts(tmp_path, capsys):
    _, own = codes(["check", RIDGE], capsys)
    assert "dangerous-weather" not in own
    metar = report(tmp_path, "24005KT 9999 +TSRA BKN050 20/10 Q1013=")
    code, found = codes(["check", RIDGE, "--metar", metar], capsys)
    assert (code, found["dangerous-weather"]) == (20, "stop")
    taf = report(tmp_path, "24005KT 9999 TSRA BKN050", "TAF")
    _, found = codes(["check", RIDGE, "--taf", taf], capsys)
    assert found["dangerous-weather"] == "act"


def test_it_is_compared_with_the_plans_own(tmp_path, capsys):
    metar = report(tmp_path, "24005KT 9999 +TSRA BKN050 20/10 Q1013=")
    assert main(["compare", str(RIDGE), "--metar", str(metar), "--json"]) == 40
    assert json.loads(capsys.readouterr().out)["before"]["label"].endswith("by its own reports")


def test_what_is_no_report_is_one_line(tmp_path, capsys):
    path = tmp_path / "list.txt"
    path.write_text("bread, milk\n")
    assert main(["check", str(RIDGE), "--metar", str(path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.splitlines()) == 1
    assert "list.txt: is no METAR" in told.err
    assert main(["check", str(RIDGE), "--taf", str(tmp_path / "none.txt")]) == 2
    assert "can't be read" in capsys.readouterr().err
