"""The layer of allowed heights on the desk: drawn while it is on, read under the cursor, asked by a click."""

import pytest

from planner.desk.commands import WorldSource
from planner.desk.layers_popup import LayersPopup
from planner.desk.map_allowed import ALLOWED, MapAllowed
from planner.locate import demo_missions_dir
from planner.plan.edits import SetPurpose
from planner.plan.file import read_plan
from planner.plan.model import Purpose
from planner.settings import Settings
from tests.desk.caught_map import CaughtMap
from tests.desk.desk_rig import make_document, settled


@pytest.fixture
def canvas(qtbot):
    made = CaughtMap(half_view_deg=(0.004, 0.003))
    qtbot.addWidget(made)
    return made


@pytest.fixture
def document(qtbot):
    made = make_document(WorldSource().load)
    made.replace(read_plan(demo_missions_dir() / "mast_dive_part107.lowline.geojson"), None)
    settled(qtbot, made)
    yield made
    made.close()


@pytest.fixture
def layer(document, canvas):
    made = MapAllowed(document, canvas)
    yield made
    made.close()


def mast_of(document):
    return min(
        (item for item in document.world.structures if item.key in document.plan.structures_standing),
        key=lambda item: item.key,
    )


def test_nothing_is_worked_out_while_it_is_off(layer, canvas, document, qtbot):
    canvas.look_at(document.plan.path[0].place)
    qtbot.wait(400)
    assert canvas.pictures == []
    assert layer.words_at(*_lonlat(document.plan.path[0].place)) == ""


def test_under_the_cursor_it_says_how_high_and_by_what(layer, canvas, document, qtbot):
    """Part 107, 402-ft tower: 802 ft less errors; recreational 400 ft (check_values 1.1, 1.4)."""
    mast = mast_of(document)
    canvas.look_at(mast.place)
    with qtbot.waitSignal(layer.drawn, timeout=10_000):
        layer.switch(True)
    words = layer.words_at(*_lonlat(mast.place))
    feet = int(words.split(" ft")[0].replace(",", ""))
    assert 790 <= feet <= 802
    assert "tower" in words
    with qtbot.waitSignal(layer.drawn, timeout=10_000):
        document.try_edit(SetPurpose(Purpose.RECREATIONAL))
    words = layer.words_at(*_lonlat(mast.place))
    assert int(words.split(" ft")[0]) <= 400
    assert "ground + 400 ft" in words


def test_a_click_asks_for_the_origin_only_while_it_is_on(layer, canvas, document, qtbot):
    asked = []
    layer.asked.connect(asked.append)
    place = document.plan.path[0].place
    canvas.probed.emit(*_lonlat(place))
    assert asked == []
    canvas.look_at(place)
    with qtbot.waitSignal(layer.drawn, timeout=10_000):
        layer.switch(True)
    canvas.probed.emit(*_lonlat(place))
    assert asked == [place]
    layer.switch(False)
    assert canvas.pictures[-1] is None


def test_the_popup_has_its_switch_and_its_legend(qtbot):
    popup = LayersPopup(Settings())
    qtbot.addWidget(popup)
    assert not popup.switches[ALLOWED.id].isChecked()
    with qtbot.waitSignal(popup.toggled) as told:
        popup.switches[ALLOWED.id].setChecked(True)
    assert told.args == [ALLOWED.id, True]


def _lonlat(place):
    return place.lon_deg, place.lat_deg
