"""The lines between map and profile: whole at the sizes of usual screens, in feet and in metres."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.chart_folders import known_chart_sets
from planner.desk import saying
from planner.desk.readout_line import ReadoutLine
from planner.desk.readout_rows import GAP, in_rows
from planner.desk.style import dress
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from planner.saying import AS_IT_COMES, Units
from planner.surroundings import surroundings
from tests.desk.desk_rig import make_document, settled

WIDE_PX, NARROW_PX = 905, 780
"""What windows of 1400 and of 1280 leave beside the panel, measured."""


@pytest.fixture(scope="module")
def answers(qapp):
    """Judge two demo flights once: controlled airspace with a shelf, and a canyon that takes the picture."""
    dress(qapp)
    found = {}
    for name in ("under_the_cell_value", "canyon_video_breaks"):
        plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
        document = make_document(lambda plan: surroundings(plan, known_sets=known_chart_sets()))
        document.replace(plan, None)
        found[name] = document
    yield found
    for document in found.values():
        document.close()


@pytest.fixture(params=[AS_IT_COMES, Units("m", "m/s", "km")], ids=["feet", "metres"])
def units(request, qapp):
    saying.choose(qapp, request.param)
    yield request.param
    saying.choose(qapp, AS_IT_COMES)


def line_over(qtbot, document, width_px):
    settled(qtbot, document)
    line = ReadoutLine(document)
    qtbot.addWidget(line)
    line.resize(width_px, 60)
    line.show()
    return line


@pytest.mark.parametrize("width_px", [WIDE_PX, NARROW_PX])
@pytest.mark.parametrize("name", ["under_the_cell_value", "canyon_video_breaks"])
def test_nothing_is_cut_anywhere_along_the_path(qtbot, answers, units, name, width_px):
    document = answers[name]
    line = line_over(qtbot, document, width_px)
    shown = {label.isVisible() for label in line.rows[:2]}
    assert shown == {True}
    for share in (0.0, 0.2, 0.5, 0.8, 0.97, 1.0):
        line.show_at(document.assessment.track.length_m * share)
        cut = [label.whole_text for label in line.rows if label.text() != label.whole_text]
        assert not cut
        assert all(part in line.words for part in ("along · ", "ground ", "planned ", "ceiling ", "Wren"))
        assert "Class C" in line.words or "controlled" in line.words


def test_whose_airspace_it_is_and_when_the_aircraft_is_there(qtbot, answers):
    document = answers["under_the_cell_value"]
    line = line_over(qtbot, document, 3000)
    line.show_at(0.0)
    assert "along · 0:00" in line.words
    # Named where the ceiling comes from; its class is told of the planned height.
    assert "in Class C" in line.words
    middle_m = document.assessment.track.length_m / 2
    line.show_at(middle_m)
    # Its legs are flown at one speed: half the way, half the time, to the second.
    whole_s = document.assessment.flight.motion.time_s[-1] if document.assessment.flight else None
    if whole_s:
        seconds = round(whole_s / 2)
        assert any(f"{s // 60}:{s % 60:02d}" in line.words for s in (seconds - 1, seconds, seconds + 1))


@given(
    st.lists(st.text("abc (),0123456789", min_size=1, max_size=40), max_size=9),
    st.integers(1, 3),
    st.integers(20, 200),
)
def test_rows_keep_every_word_in_order(parts, rows, width):
    laid = in_rows(parts, rows, width, len)
    assert len(laid) == rows
    told = "".join("".join(laid).split()).replace(";", "")
    assert told == "".join("".join(parts).split())
    assert all(len(row) <= width or GAP not in row for row in laid[:-1])


def test_a_part_that_is_wider_than_a_row_goes_over_two():
    assert in_rows(["6 points.", "Move the mouse along it."], 3, 14, len) == [
        "6 points. Move",
        "the mouse",
        "along it.",
    ]


def test_fewer_letters_only_where_they_are_needed():
    parts = ["ground 9 ft", "planned 99 ft above ground · 9 above launch", "in A (INVENTED)"]
    assert in_rows(parts, 2, 60, len) == [GAP.join(parts[:1] + parts[1:2]), parts[2]]
    assert in_rows(parts, 1, 60, len)[0] == GAP.join(
        ["ground 9 ft", "planned 99 ft AGL · 9 above launch", "in A"]
    )
