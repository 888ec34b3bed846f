"""The layer of what is seen on the desk: drawn while it is on, chosen for, read under the cursor."""

import gc
import re
from weakref import ref

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from planner.desk import saying
from planner.desk.commands import WorldSource
from planner.desk.layers_popup import LayersPopup
from planner.desk.map_overlays import MapOverlays
from planner.desk.map_seen import SEEN_LAYER
from planner.locate import demo_missions_dir
from planner.plan.crew import Role
from planner.plan.edits import MoveCrew, RemoveCrew
from planner.plan.file import read_plan
from planner.rules.sight_axis import sight_axis
from planner.saying import AS_IT_COMES, Units
from planner.settings import Settings
from planner.sight.along import Sight
from planner.world.world import World
from tests.desk.caught_map import CaughtMap
from tests.desk.desk_rig import make_document, settled, small_plan


class Rig:
    """A document, its layers on a caught map, and the popup that switches them."""

    def __init__(self, qtbot, load, plan):
        self.qtbot = qtbot
        self.document = make_document(load)
        self.document.replace(plan, None)
        settled(qtbot, self.document)
        self.canvas = CaughtMap()
        self.popup = LayersPopup(Settings())
        for widget in (self.canvas, self.popup):
            qtbot.addWidget(widget)
        self.overlays = MapOverlays(self.document, self.canvas)
        self.overlays.join(self.popup.seen)
        self.popup.toggled.connect(self.overlays.switch)
        self.popup.resize(460, 600)
        self.popup.show()

    @property
    def words(self):
        return self.overlays.words_at

    def drawn(self, act):
        with self.qtbot.waitSignal(self.overlays.seen.drawn, timeout=20_000):
            act()

    def tick(self):
        box = self.popup.switches[SEEN_LAYER.id]
        self.qtbot.mouseClick(box, Qt.MouseButton.LeftButton, pos=box.rect().center() / 4)

    def close(self):
        self.overlays.close()
        self.document.close()


@pytest.fixture
def rig(qtbot):
    made = Rig(
        qtbot, WorldSource().load, read_plan(demo_missions_dir() / "long_ridge_small_quad.lowline.geojson")
    )
    made.canvas.look_at(made.document.plan.path[2].place)
    yield made
    made.close()


def at(place):
    return place.lon_deg, place.lat_deg


def track_place(document, index):
    track = document.assessment.track
    return float(track.lon_deg[index]), float(track.lat_deg[index])


def feet(words, pattern):
    return int(re.search(pattern, words).group(1).replace(",", ""))


def test_nothing_is_worked_out_while_it_is_off(rig, qtbot):
    qtbot.wait(300)
    assert rig.canvas.pictures == []
    assert rig.words(*at(rig.document.plan.path[0].place)) == ""
    assert not rig.popup.seen.isVisible()


def test_ticked_it_is_drawn_with_its_legend_and_says_that_nothing_rests_on_it(rig):
    rig.drawn(rig.tick)
    assert rig.canvas.pictures[-1].png.startswith(b"\x89PNG")
    assert rig.popup.seen.isVisible()
    assert "no finding rests on it" in SEEN_LAYER.note
    looked_through = ref(rig.overlays.seen._last.watches[0])
    rig.tick()
    gc.collect()
    assert looked_through() is None  # our own rule (issue 8, a day's use): what is off keeps no ground
    assert rig.canvas.pictures[-1] is None
    assert rig.words(*at(rig.document.plan.path[0].place)) == ""


def test_for_all_who_must_see_it_reads_as_the_strip_does(rig, qtbot):
    rig.drawn(rig.tick)
    rig.drawn(lambda: qtbot.keyClicks(rig.popup.seen.who, "all"))
    assert rig.popup.seen.who.currentText() == "all who must see it"
    axis = sight_axis(rig.document.assessment.case)
    words = {
        Sight.HIDDEN: "hidden at",
        Sight.UNTRIED: "distance not tried",
        Sight.SEEN: "seen at",
        Sight.AGAINST_SUN: "seen at",
    }
    samples = range(5, len(axis.grave) - 5, 7)
    same = [
        words[axis.sight_at(sample)] in rig.words(*track_place(rig.document, sample)) for sample in samples
    ]
    assert sum(same) / len(same) > 0.9


def test_while_one_who_must_see_stands_nowhere_nothing_is_seen_by_all_who_must(rig, qtbot):
    legend, document = rig.popup.seen, rig.document
    rig.drawn(rig.tick)
    rig.drawn(lambda: qtbot.keyClicks(legend.who, "all"))
    assert not legend.missing.isVisible()
    spots = [track_place(document, sample) for sample in range(5, len(document.assessment.track), 11)]
    before = [rig.words(*spot) for spot in spots]
    assert any("seen at" in words for words in before)
    plan = document.plan
    (pilot,) = plan.crew_in(Role.REMOTE_PILOT)
    crew = tuple(attrs.evolve(one, place=None) if one is pilot else one for one in plan.crew)
    rig.drawn(lambda: document.replace(attrs.evolve(plan, crew=crew), None))
    settled(qtbot, document)
    assert legend.missing.isVisible()
    assert pilot.name in legend.missing.text()
    words = [rig.words(*spot) for spot in spots]
    assert not any("seen at" in one or "distance not tried" in one for one in words)
    told = [one for one in words if "not known whether seen" in one]
    assert told
    assert all(f"without a place: {pilot.name}" in one for one in told)
    # One who stands somewhere still tells what they see.
    rig.drawn(lambda: legend.who.setCurrentIndex(0))
    assert not legend.missing.isVisible()
    assert any("seen at" in rig.words(*spot) for spot in spots)


def test_whose_eyes_and_which_height_are_chosen_in_the_legend(rig, qtbot):
    """Each observer alone sees less than any of both; a fixed height takes the planned one's place."""
    rig.drawn(rig.tick)
    last = at(rig.document.plan.path[-1].place)
    assert rig.words(*last).startswith("Any of 2 observers: seen at")
    rig.drawn(lambda: qtbot.keyClicks(rig.popup.seen.who, "Wren"))
    assert rig.words(*last).startswith("Wren (invented): ")
    assert "seen at" not in rig.words(*last)
    # Within this time what is typed would go on from "Wren".
    qtbot.wait(QApplication.keyboardInputInterval() + 100)
    rig.drawn(lambda: qtbot.keyClicks(rig.popup.seen.who, "Ash"))
    from_ft = feet(rig.words(*last), r"seen from ([\d,]+) ft up")
    box = rig.popup.seen.above
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, str(from_ft + 20))
    rig.drawn(lambda: qtbot.keyClick(box, Qt.Key.Key_Return))
    assert "hidden" not in rig.words(*last)
    qtbot.wait(50)
    rig.drawn(lambda: box.setValue(box.minimum()))
    assert "hidden at 99 ft" in rig.words(*last) or "hidden at 98 ft" in rig.words(*last)


def test_its_height_is_taken_in_whole_metres_where_they_are_preferred(rig, qtbot, qapp):
    rig.drawn(rig.tick)
    box = rig.popup.seen.above
    rig.drawn(lambda: box.setValue(100))
    assert rig.popup.seen.choice.above_m == pytest.approx(30.48)
    saying.choose(qapp, Units(height="m"))
    try:
        rig.drawn(box.speak)
        assert (box.text(), box.singleStep()) == ("30 m above ground everywhere", 5)
        assert rig.popup.seen.choice.above_m == 30.0
        box.setFocus()
        box.selectAll()
        qtbot.keyClicks(box, "45")
        rig.drawn(lambda: qtbot.keyClick(box, Qt.Key.Key_Return))
        assert rig.popup.seen.choice.above_m == 45.0
        rig.drawn(lambda: box.setValue(box.minimum()))
        assert rig.popup.seen.choice.above_m is None
    finally:
        saying.choose(qapp, AS_IT_COMES)
    box.speak()
    assert (box.text(), rig.popup.seen.choice.above_m) == ("the height planned nearest", None)


def test_it_follows_the_plan_and_who_is_gone_is_not_offered(rig):
    rig.drawn(rig.tick)
    wren = next(member for member in rig.document.plan.crew if member.name.startswith("Wren"))
    rig.drawn(lambda: rig.popup.seen.who.setCurrentIndex(rig.popup.seen.who.findData(wren.key)))
    last = rig.document.plan.path[-1].place
    rig.drawn(lambda: rig.document.try_edit(MoveCrew(wren.key, last)))
    assert rig.words(*at(last)).startswith("Wren (invented): seen at")
    rig.drawn(lambda: rig.document.try_edit(RemoveCrew(wren.key)))
    assert rig.popup.seen.who.findData(wren.key) == -1
    assert not rig.words(*at(last)).startswith("Wren")


def test_without_terrain_all_is_unknown_and_without_anybody_it_says_so(qtbot):
    plan = small_plan()
    rig = Rig(qtbot, lambda _plan: World(), plan)
    rig.canvas.look_at(plan.path[0].place)
    rig.drawn(rig.tick)
    assert rig.canvas.pictures[-1] is not None
    assert rig.words(*at(plan.path[0].place)) == "Ash (invented): not known whether seen"
    (pilot,) = plan.crew_in(Role.REMOTE_PILOT)
    rig.document.try_edit(RemoveCrew(pilot.key))
    qtbot.waitUntil(lambda: rig.canvas.pictures[-1] is None, timeout=10_000)
    assert rig.words(*at(plan.path[0].place)) == "nobody who watches is on the map"
    rig.close()


def test_the_map_page_lays_it_over_the_heights_allowed(qtbot, canvas):
    from planner.drawing.seen_picture import seen_picture
    from tests.desk.map_hand import page_value
    from tests.drawing.test_seen_picture import BOUNDS, seen

    canvas.set_seen(seen_picture(*seen([[0, 4], [2, 3]], 60.0), BOUNDS))
    shown = "document.querySelectorAll('.leaflet-tile-pane img').length"
    qtbot.waitUntil(lambda: page_value(qtbot, canvas, shown) == 1, timeout=5_000)
    assert page_value(qtbot, canvas, "document.querySelector('.leaflet-tile-pane img').style.zIndex") == "4"
    canvas.set_seen(None)
    qtbot.waitUntil(lambda: page_value(qtbot, canvas, shown) == 0, timeout=5_000)
