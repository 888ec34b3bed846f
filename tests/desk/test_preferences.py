"""What the pilot switched stays as it was switched; a broken file of settings harms nothing."""

import json

import pytest

from planner.desk.desk import Desk
from planner.desk.preferences import FILE_NAME, read_settings, write_settings
from planner.settings import Settings
from planner.units import STATUTE_MILE_M


@pytest.fixture
def desk_in(qtbot, monkeypatch):
    def begin(folder):
        monkeypatch.setenv("LOWLINE_STATE_DIR", str(folder))
        desk = Desk(None, None)
        desk.window.bring_map()
        desk.move_in()
        desk.start(None)
        qtbot.waitUntil(lambda: desk.document.plan.chart_sets != (), timeout=30_000)
        qtbot.waitUntil(lambda: not desk.document.checking, timeout=30_000)
        return desk

    return begin


def end(desk):
    desk.window.close()
    desk.close()


def test_rings_and_layers_are_as_they_were_left(tmp_path, desk_in):
    first = desk_in(tmp_path)
    first.window.popup.radius.setValue(3.0)
    first.window.popup.switches["roads"].click()
    first.window.popup.switches["coverage"].click()
    first.window.popup.switches["seen"].click()
    end(first)
    second = desk_in(tmp_path)
    view = second.window.map_view
    assert view.ring_radius_m == pytest.approx(3 * STATUTE_MILE_M)
    assert second.window.popup.radius.value() == pytest.approx(3.0)
    shown = {layer["id"]: layer["visible"] for layer in view.layers}
    assert (shown["roads"], shown["coverage"], shown["buildings"]) == (False, True, True)
    assert not second.window.popup.switches["roads"].isChecked()
    assert view.overlays.seen.is_on
    assert not view.overlays.allowed.is_on
    end(second)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"ring_radius_m": "far"}',
        '{"ring_radius_m": -1}',
        '{"ring_radius_m": NaN}',
        '{"ring_radius_m": true}',
        '{"layer_switches": [1]}',
        '{"appearance": "pink"}',
        '{"appearance": ["dark"]}',
        '{"text_percent": 400}',
        '{"text_percent": "large"}',
        "[" * 100_000,
    ],
)
def test_a_broken_file_is_as_if_there_were_none(tmp_path, text):
    (tmp_path / FILE_NAME).write_text(text, "utf-8")
    assert read_settings(tmp_path) == Settings()


def test_one_setting_of_no_use_leaves_the_others(tmp_path):
    kept = {"ring_radius_m": 1e9, "layer_switches": {"roads": False, "rings": "no"}}
    (tmp_path / FILE_NAME).write_text(json.dumps(kept), "utf-8")
    assert read_settings(tmp_path) == Settings(layer_switches={"roads": False})


def test_settings_come_back_as_they_were_written(tmp_path):
    settings = Settings(
        ring_radius_m=1234.5, appearance="dark", text_percent=130.0, layer_switches={"rings": False}
    )
    write_settings(tmp_path, settings)
    assert read_settings(tmp_path) == settings
