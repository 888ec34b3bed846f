"""A report out of a text file, and what is said under a field of a battery whose kind nobody knows.

Codes of reports are those of WMO FM 15 and FM 51; the station is invented.
"""

import pytest
from PySide6.QtWidgets import QFileDialog

from planner.errors import LowlineError
from planner.plan.aircraft import Aircraft, Battery
from planner.plan.edits import SetAircraft
from planner.world.readers.report_file import LARGEST_BYTES, read_report_file
from tests.desk.form_hand import type_into

METAR = "METAR XINV 251153Z 24012G20KT 10SM FEW020 BKN045 12/07 A3002"
TAF = "TAF XINV 251130Z 2512/2612 24012KT P6SM FEW020"


def written(tmp_path, content, name="report.txt"):
    path = tmp_path / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("text", "forecast"), [(METAR, False), (TAF, True), (f"{TAF}\n  FM251800 VRB03KT", True)]
)
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_the_report_as_it_was_issued(tmp_path, text, forecast, mark):
    path = written(tmp_path, mark + text.encode() + b"\r\n\n")
    assert read_report_file(path, forecast=forecast) == text


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "is no METAR"),
        (b"shopping: bread", "is no METAR"),
        (TAF.encode(), "is no METAR"),
        (b"\xff\xfe\x00\x01", "is no plain text"),
        (METAR.encode() + b" " * LARGEST_BYTES, "far too long"),
        (b"2026/05/25 11:53\n" + METAR.encode(), "begins with a date (2026/05/25 11:53)"),
        (b"2026-05-25T1153Z \r\n" + METAR.encode(), "begins with a date (2026-05-25T1153Z)"),
        (b"2026/05/25 11:53", "is no METAR (the METAR names no station)"),
    ],
)
def test_what_is_no_report_is_refused_in_one_line(tmp_path, content, why):
    with pytest.raises(LowlineError) as refused:
        read_report_file(written(tmp_path, content), forecast=False)
    line = refused.value.one_line()
    assert why in line
    assert "report.txt" in line
    assert "\n" not in line


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(LowlineError, match="can't be read"):
        read_report_file(tmp_path / "none.txt", forecast=True)


def test_the_desk_loads_it_beside_the_box(side, document, tmp_path, monkeypatch, qtbot):
    section = side.plan.sections["weather"]
    path = written(tmp_path, METAR.encode())
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_given, **_named: (str(path), ""))
    box = section.reports["metar"]
    section.loads["metar"].click()
    assert document.plan.weather.metar == METAR
    qtbot.waitUntil(lambda: box.edit.toPlainText() == METAR)
    path.write_text("no report")
    section.loads["metar"].click()
    assert document.plan.weather.metar == METAR
    assert "report.txt" in box.error.text()
    assert not box.error.isHidden()
    assert not box.has_trouble
    path.write_text(METAR.replace("24012", "25012"))
    section.loads["metar"].click()
    qtbot.waitUntil(lambda: "25012" in box.edit.toPlainText())
    assert box.error.isHidden()


def test_a_battery_of_no_known_kind_is_kept_and_said_under_its_field(side, document, qtbot):
    document.try_edit(
        SetAircraft(Aircraft("Sparrow", 0.6, 0.25, battery=Battery("Li-ion 21700", 4, 4_000.0)))
    )
    section = side.plan.sections["aircraft"]
    section.more.click()
    field = section.fields["chemistry"]
    qtbot.waitUntil(lambda: field.edit.text() == "Li-ion 21700")
    assert field.error.isHidden()
    type_into(field, "zinc")
    assert document.plan.aircraft.battery.chemistry == "zinc"
    qtbot.waitUntil(lambda: not field.error.isHidden())
    assert "not known: the battery is not checked" in field.error.text()
    assert not field.has_trouble
    type_into(field, "Li-Po")
    qtbot.waitUntil(field.error.isHidden)
