"""Map, profile and sheet draw a stretch in one pattern, and each stop that has one is hatched on all."""

from itertools import count

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest

from planner.assess import assess, assess_live, follow
from planner.briefing.front_page import front_pages
from planner.desk.commands import WorldSource
from planner.desk.document import Document
from planner.desk.path_marks import path_marks
from planner.desk.profile.curves import curves_of
from planner.desk.profile.legend import Sample
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.strips import strips_of
from planner.desk.profile_view import ProfileView
from planner.drawing.path_pattern import stretches
from planner.drawing.patterns import Pattern
from planner.locate import demo_missions_dir
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.edits.beneath import AddBeneath, SetOtherPilots
from planner.plan.file import read_plan
from planner.rules.finding import Mark
from tests import worlds
from tests.desk.desk_rig import make_window, settled

# One of each cause: battery, picture, sight, what is beneath.
MISSIONS = ("long_run_against_the_wind", "canyon_video_breaks", "canyon_hidden", "car_chase_overhead")


def mission(name):
    return read_plan(demo_missions_dir() / f"{name}.lowline.geojson")


def on_the_map(answer, at_m):
    """Read the mark off what is sent to the map, by the place of a distance; legs bend nowhere else."""
    track = answer.track
    leg = int(np.searchsorted(track.distance_m[track.point_sample], at_m, "right")) - 1
    at = np.array([np.interp(at_m, track.distance_m, values) for values in (track.lon_deg, track.lat_deg)])
    for piece in path_marks(answer):
        start, end = np.array(piece["coords"])
        along = float(np.dot(at - start, end - start)) / float(np.dot(end - start, end - start))
        if piece["from"] == leg and 0.0 <= along <= 1.0:
            return piece["mark"]
    raise AssertionError(at_m)


def in_the_profile(answer, at_m):
    line = curves_of(answer.track, answer.profile, stretches(answer)).planned
    return Pattern(line.pattern[np.searchsorted(line.distance_m, at_m, "right") - 1])


@pytest.mark.parametrize("name", MISSIONS)
def test_a_stop_is_hatched_on_map_profile_and_sheet(name):
    plan = mission(name)
    answer = assess(plan, WorldSource().load(plan))
    stops = [one for one in answer.findings if one.mark is Mark.STOP and one.from_m is not None]
    assert stops
    for stop in stops:
        at_m = (stop.from_m + stop.to_m) / 2
        assert on_the_map(answer, at_m) == "stop", stop.title
        assert in_the_profile(answer, at_m) is Pattern.STOP, stop.title
    names = {"clear": Pattern.CLEAR, "brief": Pattern.BRIEF, "act": Pattern.ACT, "stop": Pattern.STOP}
    for part in stretches(answer):
        at_m = (part.from_m + part.to_m) / 2
        assert names.get(on_the_map(answer, at_m), Pattern.UNKNOWN) is part.pattern
        assert in_the_profile(answer, at_m) is part.pattern


def test_what_is_worked_out_later_changes_the_lines_that_stand(qtbot):
    """The picture breaks off: only the part that follows on the worker knows."""
    document = Document(assess_live, WorldSource().load, follow)
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.bring_profile()
    window.show()
    document.replace(mission("canyon_video_breaks"), None)
    settled(qtbot, document)
    plot = window.profile_view.panel.plot
    qtbot.waitUntil(lambda: len(plot.lines.drawn(Pattern.STOP)[0]) > 1)
    (stop,) = [one for one in document.assessment.findings if one.mark is Mark.STOP]
    drawn_m = plot.lines.drawn(Pattern.STOP)[0][[0, -1]]
    assert drawn_m == pytest.approx([stop.from_m, stop.to_m], abs=0.1)
    assert Sample.STOP in window.profile_view.panel.legend.samples
    document.close()


def test_a_line_that_is_clear_throughout_says_that_the_whole_flight_must_change(qtbot):
    """Two pilots on one channel: a stop of no place; our own rule (the manual, "The profile")."""
    document = Document(assess_live, WorldSource().load, follow)
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    view = ProfileView(document, panel)
    document.replace(mission("two_pilots_one_channel"), None)
    settled(qtbot, document)
    answer = document.assessment
    assert [one.from_m for one in answer.findings if one.mark is Mark.STOP] == [None]
    view.refresh_followed()
    assert Pattern.STOP not in {part.pattern for part in stretches(answer)}
    panel.legend.resize(700, panel.legend.sizeHint().height())
    assert Sample.WHOLE_STOP in panel.legend.with_room()[0]
    (page,) = front_pages(answer)
    assert "nothing against it there" in [entry["words"] for entry in page["legend"]]
    document.try_edit(SetOtherPilots(()))
    settled(qtbot, document)
    view.refresh_followed()
    assert not {Sample.WHOLE_STOP, Sample.WHOLE_UNKNOWN} & set(panel.legend.samples)
    document.close()


def test_a_building_drawn_in_the_way_is_a_stop_in_line_strip_and_words(qtbot):
    document = Document(assess_live, lambda _plan: worlds.world(), follow)
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.bring_profile()
    window.show()
    document.replace(worlds.plan(path=worlds.points([(0, 0, 20.0), (400, 0, 20.0)])), None)
    settled(qtbot, document)
    ring = tuple(worlds.at(*offset) for offset in ((150, -20), (250, -20), (250, 20), (150, 20)))
    building = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, ring, height_m=30.0)
    assert document.try_edit(AddBeneath(building))
    settled(qtbot, document)
    answer = document.assessment
    assert in_the_profile(answer, 200.0) is Pattern.STOP
    assert on_the_map(answer, 200.0) == "stop"
    (strip,) = [one for one in strips_of(answer) if one.name == "beneath"]
    (here,) = [one for one in strip.intervals if one.from_m <= 200.0 < one.to_m]
    assert (here.text, here.tone) == ("into building", "stop")
    view = window.profile_view.panel.strips
    moves = count()

    def told():
        # Strips that come later move the row, and on a busy machine a single move comes before them.
        row = [one.name for one in view.strips].index("beneath")
        middle_px = view.height() * (row + 0.5) / len(view.strips)
        QTest.mouseMove(view, QPoint(view.width() // 2 + next(moves) % 2, round(middle_px)))
        return "into building" in window.readout.words

    qtbot.waitUntil(told)
    document.close()
