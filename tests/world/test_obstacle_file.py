"""The obstacle file: real state files, and what its columns mean (check_values 10 and 15)."""

import pytest

from planner.errors import ChartError
from planner.units import FOOT_M
from planner.world.layers import LayerName
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.publisher_file import read_publisher_file

HEADER = (
    "  CURRENCY DATE = 02/18/24\r\n"
    "                                     LATITUDE    LONGITUDE     OBSTACLE            AGL   AMSL "
    "LT ACC MAR FAA         ACTION\r\n"
    "OAS#      V CO ST CITY            DEG MIN SEC   DEG MIN SEC   TYPE                 HT    HT     "
    "H V IND STUDY           JDATE\r\n"
    + "-" * 127
    + "\r\n"
)  # fmt: skip


def record(
    oas="99-000001", kind="TOWER", agl="00402", amsl="01402", accuracy="2 B", action="A", lat="37 48 00.00N"
):
    """An invented obstacle in the open ocean, in the columns of check_values 10."""
    line = [" "] * 128
    fields = {
        0: oas,
        10: "O",
        12: "XX",
        15: "XX",
        18: "INVENTED",
        35: lat,
        48: "150 12 00.00W",
        62: kind,
        81: "1",
        83: agl,
        89: amsl,
        95: "R",
        97: accuracy,
        101: "N",
        118: action,
        120: "2024018",
    }
    for start, text in fields.items():
        line[start : start + len(text)] = text
    return "".join(line) + "\r\n"


def write(folder, *records, header=HEADER):
    path = folder / "any.name"
    path.write_bytes((header + "".join(records)).encode("latin-1"))
    return path


def structures(path):
    (part,) = read_chart_file(path)
    return part.reading.content.structures, part.reading.refusals


@pytest.mark.parametrize(("name", "count"), [("47-TN.Dat", 7570), ("11-DC.Dat", 503)])
def test_state_files_are_read_whole(shared_data, name, count):
    (part,) = read_chart_file(shared_data / "dof" / name)
    assert part.layer is LayerName.OBSTACLES
    assert part.table.total == len(part.reading.content.structures) == count
    assert not part.reading.refusals
    # Currency date 18 Feb 2024: from the end of that day, for 56 days.
    assert part.edition.effective_utc.isoformat() == "2024-02-19T00:00:00+00:00"
    assert part.edition.expires_utc.isoformat() == "2024-04-14T00:00:00+00:00"


def test_a_real_record(shared_data):
    """The first of the Tennessee file, read by eye: 158 ft high, 865 ft AMSL, accuracy 4D."""
    found, _ = structures(shared_data / "dof" / "47-TN.Dat")
    (mast,) = [one for one in found if one.key == "47-074966"]
    assert (mast.kind, mast.height_agl_m, mast.top_amsl_m) == ("tower", 158 * FOOT_M, 865 * FOOT_M)
    assert mast.place.lat_deg == pytest.approx(34 + 59 / 60 + 11.73 / 3600)
    assert mast.place.lon_deg == pytest.approx(-(85 + 14 / 60 + 49.40 / 3600))
    assert mast.horizontal_error_m == pytest.approx(250 * FOOT_M)
    assert mast.vertical_error_m == pytest.approx(50 * FOOT_M)


def test_records_without_accuracy_are_kept_without_it(shared_data):
    """86 Tennessee records leave an accuracy blank or call it unknown (check_values 10)."""
    rows = read_chart_file(shared_data / "dof" / "47-TN.Dat")[0].table.rows
    blank = [row.text("OAS") for row in rows if not row.text("H_ACC") or not row.text("V_ACC")]
    found, _ = structures(shared_data / "dof" / "47-TN.Dat")
    unknown = {one.key for one in found if one.horizontal_error_m is None or one.vertical_error_m is None}
    assert len(blank) == 86
    assert set(blank) <= unknown


# Accuracy codes: check_values 15 (standing A, Order 8260.19J appendix C).
@pytest.mark.parametrize(
    ("code", "horizontal_m", "vertical_m"),
    [
        ("1 A", 20 * FOOT_M, 3 * FOOT_M),
        ("2 B", 50 * FOOT_M, 10 * FOOT_M),
        ("4 D", 250 * FOOT_M, 50 * FOOT_M),
        ("7 G", 926.0, 500 * FOOT_M),
        ("8 H", 1852.0, 1000 * FOOT_M),
        ("9 I", None, None),
        ("   ", None, None),
    ],
)
def test_accuracy_codes(tmp_path, code, horizontal_m, vertical_m):
    ((mast,), _) = structures(write(tmp_path, record(accuracy=code)))
    assert mast.horizontal_error_m == (None if horizontal_m is None else pytest.approx(horizontal_m))
    assert mast.vertical_error_m == (None if vertical_m is None else pytest.approx(vertical_m))


def test_dismantled_and_catenary(tmp_path):
    found, _ = structures(
        write(tmp_path, record(action="D"), record("99-000002", kind="CATENARY"), record("99-000003"))
    )
    assert [one.dismantled for one in found] == [True, False, False]
    assert [one.is_point_of_line for one in found] == [False, True, False]


@pytest.mark.parametrize(
    "bad",
    [
        record(lat="95 48 00.00N"),
        record(lat="37 61 00.00N"),
        record(lat="            "),
        record(agl="tall!"),
        record(oas="no number"),
        record()[:90] + "\r\n",
        record()[:120] + "x" * 500 + "\r\n",
    ],
)
def test_a_record_that_cannot_be_read_is_counted(tmp_path, bad):
    found, refusals = structures(write(tmp_path, record(), bad))
    assert len(found) == 1
    assert len(refusals) == 1
    world = read_publisher_file(write(tmp_path, record(), bad))
    assert world.layers[0].damage


def test_trailing_spaces_may_be_lost(tmp_path):
    found, refusals = structures(write(tmp_path, record().rstrip() + "\n", "\x1a"))
    assert (len(found), len(refusals)) == (1, 0)


def test_change_file_is_refused_by_its_header(tmp_path):
    lines = HEADER.split("\r\n")
    shifted = "\r\n".join([lines[0], "    " + lines[1], "ACT " + lines[2], lines[3], ""])
    with pytest.raises(ChartError, match="change file"):
        read_chart_file(write(tmp_path, "OLD " + record(), header=shifted))


@pytest.mark.parametrize(
    "header",
    [
        HEADER.replace("02/18/24", "13/45/24"),
        HEADER.replace("02/18/24", "soon"),
        HEADER.split("\r\n")[0] + "\r\n",
    ],
)
def test_header_without_its_date_or_columns(tmp_path, header):
    with pytest.raises(ChartError):
        read_chart_file(write(tmp_path, record(), header=header))
