"""`lowline charts` as it is typed."""

import json
import shutil

import pytest

from planner import cli
from planner.chart_folders import user_chart_dir
from planner.charts_command import NOT_RELIABLE
from tests.world.chart_files import CLASS_D, feature, write_geojson, write_raster

NEW = ("--jurisdiction", "INVENTED", "--area", "-151,37,-149,39", "--title", "Invented charts")
STATED = ("--publisher", "Invented Authority", "--effective", "2026-05-14", "--covers", "jurisdiction")


@pytest.fixture
def typed(capsys):
    def run(*words):
        code = cli.main(["charts", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def file(tmp_path):
    return write_geojson(tmp_path / "airspace.geojson", feature(**CLASS_D))


def test_a_set_is_made_listed_and_checked(typed, file):
    code, out, err = typed("add", "--into", "mine", *NEW, *STATED, "--cycle", 56, file)
    assert (code, err) == (0, "")
    assert "1 features read, 0 repaired, 0 refused" in out
    assert "from 2026-05-14T09:01:00Z until 2026-07-09T09:01:00Z" in out
    assert (user_chart_dir() / "mine" / "set.json").is_file()
    _, sets, _ = typed("list")
    assert f"mine: {user_chart_dir() / 'mine'}" in sets
    code, out, _ = typed("list", "mine")
    assert code == 0
    assert "class_airspace: Invented Authority, airspace.geojson" in out
    assert "covers within -151.000,37.000,-149.000,39.000" in out
    code, out, _ = typed("check", "mine", "--at", "2026-06-01")
    assert code == NOT_RELIABLE
    assert "ok class_airspace (restricting) is current here" in out
    assert "!! security_restrictions (restricting) is missing" in out
    assert "count as not checked: obstacles, fixed_sites" in out.replace("uas_zones, ", "")


def test_two_folders_of_one_id_are_named_and_neither_is_taken(typed, file):
    assert typed("add", "--into", "mine", *NEW, *STATED, "--cycle", 56, file)[0] == 0
    copy = shutil.copytree(user_chart_dir() / "mine", user_chart_dir() / "mine, newer")
    (user_chart_dir() / "broken").mkdir()
    (user_chart_dir() / "broken" / "set.json").write_text("{", encoding="utf-8")
    code, out, _ = typed("list")
    assert code == NOT_RELIABLE
    assert f"!! {user_chart_dir() / 'mine'} and {copy} each hold a chart set 'mine'" in out
    assert f"!! {user_chart_dir() / 'broken' / 'set.json'}: is not JSON" in out
    code, _, err = typed("check", "mine", "--at", "2026-06-01")
    assert code == 2
    assert "each hold a chart set" in err


def test_check_is_good_where_every_restricting_layer_is(typed, tmp_path, file):
    limits = {name: value for name, value in CLASS_D.items() if name.startswith(("LOWER", "UPPER"))}
    square = {"NAME": "INVENTED", **limits}
    files = [
        file,
        write_geojson(tmp_path / "b.geojson", feature(CEILING=100, MAP_EFF="5/14/2026", APT1_LAANC=1)),
        write_geojson(tmp_path / "c.geojson", feature(TYPE_CODE="R", TIMESOFUSE="H24", **square)),
        write_geojson(tmp_path / "d.geojson", feature(FLOOR="0", CEILING="400 AGL", FACILITY="INVENTED")),
        write_raster(tmp_path / "ground.tif", [[1.0] * 100] * 100),
    ]
    code, _, err = typed("add", "--into", tmp_path / "set", *NEW, *STATED, "--cycle", 28, *files)
    assert (code, err) == (0, "")
    code, out, _ = typed("check", tmp_path / "set", "--at", "2026-06-01")
    assert code == 0, out
    # 28 days from 14 May 2026 end on 11 June (check values, section 11b).
    assert typed("check", tmp_path / "set", "--at", "2026-06-10")[0] == 0
    code, out, _ = typed("check", tmp_path / "set", "--at", "2026-06-11")
    assert code == NOT_RELIABLE
    assert "!! class_airspace (restricting) has expired" in out
    assert "add the publisher's current edition" in out
    assert typed("check", tmp_path / "set", "--at", "2026-05-14")[0] == NOT_RELIABLE


def test_a_file_without_coverage_is_told_of(typed, file):
    _, out, _ = typed("add", "--into", "mine", *NEW, file)
    assert "coverage none: say with --covers" in out
    code, out, _ = typed("check", "mine")
    assert code == NOT_RELIABLE
    assert "class_airspace (restricting) does not say where it is complete" in out
    assert "add it again with --covers" in out


def test_damage_is_told_of(typed, file):
    typed("add", "--into", "mine", *NEW, *STATED, "--cycle", 56, file)
    (user_chart_dir() / "mine" / "charts.gpkg").write_bytes(b"SQLite format 3\0 torn")
    code, out, _ = typed("check", "mine", "--at", "2026-06-01")
    assert code == NOT_RELIABLE
    assert "!! class_airspace (restricting) can't be read: charts.gpkg" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say what to do with charts"),
        (("burn",), "say what to do with charts"),
        (("add", "--into", "mine"), "required: FILE"),
        (("add", "FILE"), "required: --into"),
        (("add", "--into", "mine", "FILE"), "say whose rules it is for: --jurisdiction CODE"),
        (("add", "--into", "mine", *NEW, "--covers", "1,2,3", "FILE"), "no box of west,south,east,north"),
        (("add", "--into", "mine", *NEW, "--effective", "soon", "FILE"), "--effective 'soon' is no date"),
        (("add", "--into", "mine", *NEW, "--cycle", "30", "FILE"), "invalid choice"),
        (("add", "--into", "no such/../id?", *NEW[2:], "FILE"), "say whose rules"),
        (("add", "--into", "id?", *NEW, "FILE"), "is no id of a chart set"),
        (("add", "--into", "demo-island", "FILE"), "this chart set is invented"),
        (("add", "--into", "mine", *NEW, "missing.geojson"), "no such file"),
        (("list", "mine"), "there is no chart set 'mine'"),
        (("check",), "required: SET"),
        (("check", "demo-island", "--at", "soon"), "--at 'soon' is no date"),
    ],
)
def test_bad_input_is_one_line_and_makes_nothing(typed, file, words, said):
    code, out, err = typed(*(file if word == "FILE" else word for word in words))
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
    assert not (user_chart_dir() / "mine" / "set.json").exists()


def test_a_failed_first_file_leaves_no_set(typed, tmp_path):
    broken = write_geojson(tmp_path / "a.geojson", feature(**{**CLASS_D, "CLASS": "Q", "LOCAL_TYPE": "Q"}))
    assert typed("add", "--into", "mine", *NEW, broken)[0] == 2
    assert typed("list", "mine")[0] == 2
    assert (
        typed("add", "--into", "mine", *NEW, write_geojson(tmp_path / "b.geojson", feature(**CLASS_D)))[0]
        == 0
    )


def test_help_says_how_a_whole_country_is_covered(typed):
    code, out, _ = typed("--help")
    assert code == 0
    assert "--covers jurisdiction" in out


def test_set_json_names_the_layers(typed, file):
    typed("add", "--into", "mine", *NEW, *STATED, "--cycle", 28, file)
    content = json.loads((user_chart_dir() / "mine" / "set.json").read_text(encoding="utf-8"))
    entry = content["layers"]["class_airspace"]
    assert entry["publisher"] == "Invented Authority"
    assert (entry["effective"], entry["expires"]) == ("2026-05-14T09:01:00Z", "2026-06-11T09:01:00Z")
    assert entry["quality"] == {"read": 1, "repaired": 0, "refused": 0, "reasons": [], "refused_area": None}
    assert content["invented"] is False
