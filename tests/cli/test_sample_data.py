"""Every sample file through `lowline charts add`; the counts are those of the files' own description."""

import re

import pytest

from planner import cli
from planner.chart_folders import user_chart_dir

STATED = ("--publisher", "Test", "--effective", "2026-05-14", "--cycle", 56, "--covers", "jurisdiction")
COUNTS = {
    "class_airspace": 12,
    "facility_map": 36,
    "special_use_airspace": 1,
    "obstacles": 7_570 + 503,
    "runways": 7_613,
    "frequencies": 13_269,
}
AMERICAN = (
    "faa/class_airspace_sample.geojson",
    "faa/uasfm_SYNTHETIC_to_schema.geojson",
    "faa/sua_SYNTHETIC_to_schema.geojson",
    "dof/47-TN.Dat",
    "dof/11-DC.Dat",
    "aerodromes/runways_us.csv",
    "aerodromes/frequencies_us.csv",
    "terrain/jacksboro_tn_3arcsec.tif",
)


@pytest.fixture
def typed(capsys):
    def run(*words):
        code = cli.main(["charts", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_all_american_files_come_in_together(typed, shared_data):
    files = [shared_data / name for name in AMERICAN]
    code, out, err = typed(
        "add", "--into", "us", "--jurisdiction", "US", "--area", "-125,24,-66,50", *STATED, *files
    )
    assert (code, err) == (0, "")
    # The obstacle files are of 18 February 2024 and due after 56 days: no statement renews them.
    obstacles = out[out.index("obstacles:") :].split("\n", 4)
    assert obstacles[2].endswith("until 2024-04-14T00:00:00Z"), obstacles
    assert "which counts; stated was from 2026-05-14" in obstacles[3]
    read = dict(re.findall(r"^(\w+): .*\n  ([\d,]+) features read", out, re.MULTILINE))
    assert {name: int(count.replace(",", "")) for name, count in read.items()} == COUNTS
    _, listed, _ = typed("list", "us")
    assert "terrain: Test, jacksboro_tn_3arcsec.tif" in listed
    for name, count in COUNTS.items():
        kept, refused = re.search(
            rf"{name}: .*\n.*\n  ([\d,]+) features .* ([\d,]+) refused", listed
        ).groups()
        assert int(kept.replace(",", "")) + int(refused.replace(",", "")) == count


@pytest.mark.parametrize(
    ("name", "said", "parts"),
    [
        # 57 airspaces, by the description of the file; the parts are what this program makes of them, held
        # here so that none is lost unnoticed.
        (
            "aixm/Donlon_Airspace.xml",
            "57 airspaces in 65 parts",
            {"class_airspace": 31, "special_use_airspace": 34},
        ),
        # Two zones in the older model, by the description; `horizontalProjection` stands in it four times.
        ("ed269/ed269_SYNTHETIC.json", "2 zones in 4 parts", {"uas_zones": 4}),
    ],
)
def test_files_of_other_states(typed, shared_data, name, said, parts):
    code, out, err = typed(
        "add", "--into", "far", "--jurisdiction", "XX", "--covers", "-180,-90,180,90", shared_data / name
    )
    assert (code, err) == (0, "")
    assert said in out
    read = dict(re.findall(r"^(\w+): .*\n  (\d+) features read", out, re.MULTILINE))
    assert {layer: int(count) for layer, count in read.items()} == parts
    assert set(re.findall(r"(\d+) refused", out)) == {"0"}


def test_the_zones_that_are_wrong_on_purpose_are_refused_with_the_reason(typed, shared_data):
    bad = shared_data / "ed318" / "InvalidExample_GeoZone_2_Layers.json"
    code, out, err = typed("add", "--into", "bad", "--jurisdiction", "XX", bad)
    assert (code, out) == (2, "")
    # The file says of that value itself that it is no date and time.
    assert "'metadata.validFrom' is no date and time" in err
    assert err.count("\n") == 1
    assert not (user_chart_dir() / "bad" / "set.json").exists()
