"""Labels find free places, and words are not wider than they are taken for."""

import os
import re

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.drawing.labels import Label, LabelBoard
from planner.drawing.svg import text_width

SIDE = 300.0
spots = st.tuples(st.floats(0, SIDE), st.floats(0, SIDE))


@given(st.lists(st.tuples(spots, st.text("abcXYZ 12,·", min_size=1, max_size=24)), max_size=14))
@settings(max_examples=40, deadline=None)
def test_no_label_stands_on_another_or_off_the_sheet(wanted):
    board = LabelBoard(SIDE, SIDE)
    drawn = [(text, board.place(Label(text, x, y))) for (x, y), text in wanted]
    boxes = [box_of(text, words) for text, words in drawn if words]
    sheet = shapely.box(0, 0, SIDE, SIDE)
    assert all(sheet.contains(box) for box in boxes)
    for index, box in enumerate(boxes):
        assert not any(box.intersects(other) for other in boxes[index + 1 :])


def box_of(text, drawn):
    """Where the words stand, from what is drawn: middle, baseline, capital height."""
    x, baseline = (float(re.search(rf'<text[^>]* {name}="([-\d.]+)"', drawn).group(1)) for name in "xy")
    half = text_width(text, 9.0, 600) / 2 - 0.1
    return shapely.box(x - half, baseline - 6.0, x + half, baseline + 1.0)


def test_a_label_keeps_off_marks_and_off_lines_where_it_can():
    board = LabelBoard(SIDE, SIDE)
    board.keep_free(150, 150, 6)
    line = shapely.LineString([(150, 150), (290, 150)])
    board.avoid(line, 40.0)
    box = box_of("launch", board.place(Label("launch", 150, 150, gap=8.0)))
    assert not box.intersects(line)
    assert not box.intersects(shapely.box(144, 144, 156, 156))


def test_no_leader_strikes_out_other_words():
    board = LabelBoard(SIDE, SIDE)
    board.keep_box_free(0, 152, SIDE, 162)
    board.keep_box_free(0, 120, SIDE, 151)
    drawn = board.place(Label("launch", 150, 140, gap=8.0, reach=100.0))
    assert "<path" in drawn
    (_, end) = re.search(r'd="M[-\d.]+ ([-\d.]+) L[-\d.]+ ([-\d.]+)"', drawn).groups()
    assert float(end) < 140


def test_words_inside_the_area_they_name_need_no_leader():
    area = shapely.box(0, 0, SIDE, SIDE)
    for home, leads in ((area, False), (None, True)):
        board = LabelBoard(SIDE, SIDE)
        board.keep_box_free(100, 130, 200, 170)
        drawn = board.place(Label("Class D", 150, 150, gap=0.0, reach=100.0, home=home))
        assert ("<path" in drawn) is leads


def test_a_label_without_any_free_place_is_left_out():
    board = LabelBoard(SIDE, SIDE)
    board.keep_box_free(0, 0, SIDE, SIDE)
    assert board.place(Label("launch", 150, 150)) == ""


@pytest.mark.parametrize(
    "text",
    ["observer, pilot, launch", "INVENTED SHELF · 1,200 ft to 4,000 ft", "Ελένη Παπαδοπούλου", "Привет"],
)
@pytest.mark.parametrize("weight", [500, 600, 700])
def test_words_are_at_most_a_little_narrower_than_taken_for(text, weight, qapp):
    # The font's own advance widths, read by Qt.
    from importlib.resources import files

    from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF

    path = next(
        path
        for path in (files("fontpkg_source_sans_3") / "files").iterdir()
        if path.name.startswith("SourceSans3[")
    )
    family = QFontDatabase.applicationFontFamilies(QFontDatabase.addApplicationFont(os.fspath(path)))[0]
    font = QFont(family)
    font.setPixelSize(200)
    font.setWeight(QFont.Weight(weight))
    real = QFontMetricsF(font).horizontalAdvance(text) / 200
    assert 0.98 * real <= text_width(text, 1.0, weight) <= 1.16 * real
