"""The sheet on the desk: its preview follows the plan, its form writes notes, exports leave."""

import attrs
import pytest
from pypdf import PdfReader
from PySide6.QtGui import QGuiApplication, QPageSize
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest

from planner.briefing.briefing import stamps
from planner.desk.commands import WorldSource
from planner.desk.forms.sheet_section import SheetSection
from planner.desk.on_paper import on_paper, why_draft
from planner.desk.sheet_preview import SheetPreview, paint_pages
from planner.desk.style import dress
from planner.locate import demo_missions_dir
from planner.plan.edits import SetName
from planner.plan.file import read_plan
from planner.rules.verdict import Verdict
from planner.settings import Settings
from planner.wording import DRAFT_STAMP
from tests.desk.desk_rig import Answers, make_document, make_window, settled

OTHER = demo_missions_dir() / "cliff_level.lowline.geojson"
MISSION = demo_missions_dir() / "under_the_cell_value.lowline.geojson"


@pytest.fixture
def answers():
    return Answers()


@pytest.fixture
def window(qtbot, answers):
    document = make_document(WorldSource().load)
    made = make_window(qtbot, document, answers)
    document.replace(read_plan(MISSION), MISSION)
    settled(qtbot, document)
    return made


def test_the_preview_follows_edits_and_page_1_can_be_copied_and_printed(qtbot, window, tmp_path):
    window.menu_actions["sheet"].trigger()
    preview = window.doors.sheets.preview
    qtbot.waitUntil(lambda: len(preview.pages) == 3, timeout=60_000)
    before = preview.pages
    assert len(preview.sheets) == len(before)
    window.document.try_edit(SetName("Another name (INVENTED)"))
    # What an edit has outdated is not handed on.
    QGuiApplication.clipboard().clear()
    preview.buttons["Copy page 1 as picture"].click()
    assert QGuiApplication.clipboard().image().isNull()
    # The observer's page comes first, the others stay until theirs are set.
    qtbot.waitUntil(lambda: preview.pages[0] != before[0], timeout=60_000)
    assert len(preview.pages) == 3
    qtbot.waitUntil(
        lambda: all(new != old for new, old in zip(preview.pages, before, strict=True)), timeout=60_000
    )
    preview.copy_page()
    assert QGuiApplication.clipboard().image() == preview.pages[0]
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.Letter))
    printer.setFullPage(True)
    paint_pages(printer, preview.pages)
    assert len(PdfReader(tmp_path / "printed.pdf").pages) == len(preview.pages)
    # Our own rule: another flight's sheet is not to be taken for this one's.
    window.document.replace(read_plan(OTHER), OTHER)
    assert preview.pages == preview.sheets == []


def test_another_paper_is_another_shape(qtbot, window):
    window.menu_actions["sheet"].trigger()
    preview = window.doors.sheets.preview
    qtbot.waitUntil(lambda: bool(preview.pages), timeout=30_000)
    letter = preview.pages[0]
    preview.paper.setCurrentText("A4")
    qtbot.waitUntil(lambda: preview.pages[0].size() != letter.size(), timeout=30_000)
    a4 = preview.pages[0]
    # ISO 216: the sides of A4 are as one to the root of two. Standing C: common knowledge.
    assert a4.height() / a4.width() == pytest.approx(2**0.5, abs=0.01)
    preview.close()
    assert preview.pages == preview.sheets == []  # our own rule (issue 8): a closed window keeps no flight


def test_the_printer_is_asked_for_the_paper_that_is_shown(qtbot, window, monkeypatch):
    from PySide6 import QtPrintSupport

    asked = []

    class Dialog:
        def __init__(self, printer, _parent):
            asked.append(printer.pageLayout().pageSize().id())

        def exec(self):
            return 0

    monkeypatch.setattr(QtPrintSupport, "QPrintDialog", Dialog)
    preview = SheetPreview(window.document, window)
    for paper, wanted in (("A4", QPageSize.PageSizeId.A4), ("Letter", QPageSize.PageSizeId.Letter)):
        preview.paper.setCurrentText(paper)
        preview._on_print_pages([], "")
        assert asked[-1] == wanted


def test_the_preview_saves_the_paper_it_shows(qtbot, window, answers, tmp_path):
    window.menu_actions["sheet"].trigger()
    preview = window.doors.sheets.preview
    preview.paper.setCurrentText("A4")
    answers.brief = tmp_path / "sheet"
    preview.buttons["Save PDF…"].click()
    written = tmp_path / "sheet.pdf"
    qtbot.waitUntil(written.exists, timeout=60_000)
    # ISO 216: A4 is 210 mm wide; a point is 1/72 in.
    assert float(PdfReader(written).pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    qtbot.waitUntil(lambda: len(preview.pages) == 3, timeout=60_000)


def test_flight_and_card_are_written_from_the_desk(qtbot, window, answers, tmp_path):
    answers.export, answers.card = tmp_path / "flight.gpx", tmp_path / "card.png"
    window.menu_actions["export"].trigger()
    qtbot.waitUntil(answers.export.exists, timeout=30_000)
    window.doors.sheets.card()
    qtbot.waitUntil(answers.card.exists, timeout=30_000)
    assert answers.card.read_bytes().startswith(b"\x89PNG")
    assert answers.told == []


def test_after_a_check_that_failed_no_sheet_of_the_plan_before_is_shown_printed_or_written(
    qtbot, window, answers, tmp_path, monkeypatch
):
    window.menu_actions["sheet"].trigger()
    preview = window.doors.sheets.preview
    qtbot.waitUntil(lambda: len(preview.pages) == 3, timeout=60_000)

    def broken(_plan, _world):
        raise ZeroDivisionError

    monkeypatch.setattr(window.document, "_assess", broken)
    with qtbot.captureExceptions() as caught:
        window.document.try_edit(SetName("Another name (INVENTED)"))
    assert caught
    assert not window.document.checking
    assert preview.pages == []
    assert preview.state.text().startswith("Cannot be determined: the check itself failed")
    said = []
    window.document.message.connect(said.append)
    answers.brief, answers.card, answers.export, answers.request = (
        tmp_path / name for name in ("sheet.pdf", "card.png", "flight.gpx", "ask.pdf")
    )
    QGuiApplication.clipboard().clear()
    for button in preview.buttons.values():
        button.click()
    for action in ("export", "request", "briefing"):
        window.menu_actions[action].trigger()
    assert len(said) == 7
    assert all(line.startswith("The check itself failed, so nothing is known: ") for line in said)
    assert QGuiApplication.clipboard().image().isNull()
    QTest.qWait(300)
    assert list(tmp_path.iterdir()) == []
    assert preview.pages == []


@pytest.mark.parametrize("percent", [100.0, 150.0])
def test_the_preview_is_as_wide_as_its_buttons_need_before_it_is_placed(qapp, window, percent):
    dress(qapp, Settings(text_percent=percent))
    try:
        preview = SheetPreview(window.document, window)
        preview._take_room()
        before = preview.width()
        assert before <= 1280
        preview.show()
        QTest.qWait(50)
        assert preview.width() == before
        for button in preview.buttons.values():
            assert preview.rect().contains(button.geometry())
            assert button.width() >= button.sizeHint().width()
        preview.close()
    finally:
        dress(qapp, Settings())


def test_the_form_writes_landmark_seconds_and_limits(qtbot, window):
    section = SheetSection(window.document)
    qtbot.addWidget(section)
    section.refresh()

    def type_in(field, text):
        field.edit.setText(text)
        field.edit.editingFinished.emit()

    type_in(section.landmark, "the pier")
    type_in(section.landmark_at, "37.8001 -150.2002")
    type_in(section.wind, "12")
    type_in(section.texts["gate"], "north gate")
    type_in(section.calls["lost_s"], "7")
    notes = window.document.plan.sheet
    assert (notes.landmark.name, notes.landmark.place.lat_deg) == ("the pier", pytest.approx(37.8001))
    # 1 kt is 1852 m in 3600 s (exact, International Hydrographic Organization 1929).
    assert notes.most_wind_mps == pytest.approx(12 * 1852 / 3600)
    assert notes.gate == "north gate"
    assert notes.calls.lost_s == 7.0
    assert notes.calls.blind_s == 5.0
    type_in(section.calls["lost_s"], "")
    assert window.document.plan.sheet.calls.lost_s == 5.0
    window.document.undo_stack.undo()
    assert window.document.plan.sheet.calls.lost_s == 7.0


def test_half_a_landmark_is_said(qtbot, window):
    section = SheetSection(window.document)
    qtbot.addWidget(section)
    section.refresh()
    section.landmark.edit.setText("")
    section.landmark.edit.editingFinished.emit()
    assert section.state.text() == "A landmark needs a name and a position"


def test_a_plan_is_a_draft_on_paper_until_it_is_on_the_disk_as_it_is_shown(qtbot, document, tmp_path):
    """Our own rule (design, saving): what is on paper and on no disk is stamped, saved before or not."""
    assert document.assessment.plan.saved_as_draft
    for name in ("first", "second"):
        document.try_edit(SetName(f"{name} (INVENTED)"))
        settled(qtbot, document)
        assert DRAFT_STAMP in stamps(on_paper(document))
        document.assessment = attrs.evolve(document.assessment, verdict=Verdict.READY)
        assert DRAFT_STAMP in stamps(on_paper(document))
        assert "Ctrl+S" in why_draft(document)
        document.mark_saved(tmp_path / "one.lowline.geojson", as_draft=False)
        assert DRAFT_STAMP not in stamps(on_paper(document))
        assert why_draft(document) == ""


def test_a_flight_without_a_name_is_called_on_paper_as_on_the_desk(qtbot, document, tmp_path):
    """Our own rule (issue 8: first minute): header and sheet have one name for it, the file's."""
    document.try_edit(SetName(""))
    settled(qtbot, document)
    assert on_paper(document).plan.name == ""
    document.mark_saved(tmp_path / "park.lowline.geojson", as_draft=True)
    assert on_paper(document).plan.name == "park"
    assert document.plan.name == ""
