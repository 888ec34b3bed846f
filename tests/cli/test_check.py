"""`lowline check` and `lowline brief`: verdicts, exit codes, one line for what can't be used."""

import json
from datetime import date

import attrs
import pytest

from planner.cli import main
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan, write_plan

RIDGE = demo_missions_dir() / "ridge_line.lowline.geojson"


def moved(plan, lon_deg, lat_deg):
    """Return a plan carried to another place, its shape kept."""
    anchor = plan.anchor()

    def carry(place):
        return Place(place.lon_deg - anchor.lon_deg + lon_deg, place.lat_deg - anchor.lat_deg + lat_deg)

    return attrs.evolve(
        plan,
        launch=attrs.evolve(plan.launch, place=carry(plan.launch.place)),
        landing=attrs.evolve(plan.landing, place=carry(plan.landing.place)),
        crew=tuple(attrs.evolve(member, place=carry(member.place)) for member in plan.crew),
        path=tuple(attrs.evolve(point, place=carry(point.place)) for point in plan.path),
        chart_sets=(),
    )


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("ridge_line", 0),
        ("under_the_cell_value", 10),
        ("cliff_level", 20),
        ("canyon_run", 30),
    ],
)
def test_exit_code_is_the_verdict(name, code, capsys):
    plan = str(demo_missions_dir() / f"{name}.lowline.geojson")
    assert main(["check", plan]) == code
    text = capsys.readouterr().out
    assert "INVENTED" in text
    assert main(["check", plan, "--json"]) == code
    answer = json.loads(capsys.readouterr().out)
    assert {"ready": 0, "permission-needed": 10, "must-change": 20, "undetermined": 30}[
        answer["verdict"]
    ] == code


def test_brief_exits_zero_whatever_the_verdict(tmp_path, capsys):
    target = tmp_path / "sheet.pdf"
    plan = str(demo_missions_dir() / "cliff_level.lowline.geojson")
    assert main(["brief", plan, "-o", str(target)]) == 0
    first = target.read_bytes()
    assert first.startswith(b"%PDF")
    assert main(["brief", plan, "-o", str(target)]) == 0
    assert target.read_bytes() == first


def test_without_a_screen_the_desk_does_the_same_job(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("planner.cli.has_screen", lambda: False)
    plan = str(demo_missions_dir() / "cliff_level.lowline.geojson")
    assert main([plan]) == 0
    text = capsys.readouterr().out
    assert text.startswith("There is no screen here")
    assert "Must change" in text
    assert (tmp_path / "cliff_level.briefing.pdf").read_bytes().startswith(b"%PDF")


def test_a_window_in_the_past_is_a_note_and_changes_nothing(tmp_path, capsys):
    plan = read_plan(RIDGE)
    year_2026 = attrs.evolve(
        plan.window,
        start_utc=plan.window.start_utc.replace(year=2026),
        end_utc=plan.window.end_utc.replace(year=2026),
    )
    notices = attrs.evolve(plan.notices, at_utc=plan.notices.at_utc.replace(year=2026))
    crew = tuple(
        attrs.evolve(
            one,
            tried_ranges=tuple(attrs.evolve(tried, on=date(2026, 5, 1)) for tried in one.tried_ranges),
        )
        for one in plan.crew
    )
    path = tmp_path / "past.lowline.geojson"
    write_plan(attrs.evolve(plan, window=year_2026, notices=notices, crew=crew), path)
    assert main(["check", str(path)]) == 0
    assert "lies in the past" in capsys.readouterr().out


def test_real_terrain_alone_is_undetermined_and_its_ground_is_read(shared_data, tmp_path, capsys):
    # Jacksboro, Tennessee: SRTM terrain (public domain). Without charts nobody knows whose air it is.
    path = tmp_path / "jacksboro.lowline.geojson"
    write_plan(moved(read_plan(RIDGE), -84.2, 36.3), path)
    terrain = shared_data / "terrain" / "jacksboro_tn_3arcsec.tif"
    assert main(["check", str(path), "--json", "--terrain", str(terrain)]) == 30
    answer = json.loads(capsys.readouterr().out)
    assert not answer["invented"]
    assert None not in answer["profile"]["ground_amsl_m"]
    assert 200 < min(answer["profile"]["ground_amsl_m"]) < max(answer["profile"]["ground_amsl_m"]) < 1100
    rules = {finding["rule"] for finding in answer["findings"] if finding["mark"] == "unknown"}
    assert rules == {"data-class-airspace", "data-special-use-airspace", "data-security-restrictions"}


def test_real_class_c_names_the_permission_it_would_take(shared_data, tmp_path, capsys):
    # A surface area of the sample of the authority's class airspace (cycle of 14 May 2026, public domain).
    path = tmp_path / "class_c.lowline.geojson"
    write_plan(moved(read_plan(RIDGE), -83.744738, 42.965464), path)
    charts = shared_data / "faa" / "class_airspace_sample.geojson"
    assert main(["check", str(path), "--json", "--charts", str(charts)]) == 30
    answer = json.loads(capsys.readouterr().out)
    (need,) = answer["permissions"]
    assert need["airspace"] == "FLINT, BISHOP INTL AIRPORT CLASS C"
    assert (need["class"], need["route"], need["recorded"]) == ("C", "further-coordination", False)
    assert need["cell_ceiling_agl_ft"] is None


@pytest.mark.parametrize(
    "words",
    [
        ["check"],
        ["check", "no-such-file.lowline.geojson"],
        ["check", "{folder}"],
        ["check", str(RIDGE), "--no-such-option"],
        ["check", str(RIDGE), "--terrain", "no-such.tif"],
        ["check", str(RIDGE), "--charts", "no-such.geojson"],
        ["check", str(RIDGE), "--charts", str(RIDGE)],
        ["check", str(RIDGE), "--terrain", str(RIDGE)],
        ["brief", str(RIDGE)],
        ["brief", str(RIDGE), "-o", "{folder}/no/such/folder/sheet.pdf"],
        ["one.lowline.geojson", "two.lowline.geojson"],
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(words, tmp_path, capsys):
    filled = [word.replace("{folder}", str(tmp_path)) for word in words]
    assert main(filled) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("lowline: ")
    assert printed.err.count("\n") == 1


def test_help_is_printed_and_exits_zero(capsys):
    assert main(["--help"]) == 0
    assert "lowline check PLAN" in capsys.readouterr().out
