"""How one begins, with real widgets: a place, a plan worked on before, a demo flight."""

import json

import pytest
from PySide6.QtCore import Qt

from planner.desk.begin.choose_dialog import Choice, ChooseDialog
from planner.desk.begin.demos import demo_flights
from planner.desk.begin.recents import recent_plans, remember
from planner.desk.begin.whereabouts import find_whereabouts
from planner.desk.state_dir import state_dir
from planner.desk.style import dress
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits import SetLaunch
from planner.plan.file import read_plan, write_plan
from planner.settings import Settings
from planner.world.sites import Aerodrome
from planner.world.world import World
from tests.desk.desk_rig import make_document, make_window, settled, small_plan


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document())
    window.resize(1280, 720)
    window.show()
    yield window
    window.document.close()


def card_of(window):
    return window.side.findings.begin


def type_place(qtbot, window, words):
    card = card_of(window)
    card.place.clear()
    qtbot.keyClicks(card.place, words)
    qtbot.keyClick(card.place, Qt.Key.Key_Return)
    return card.answer.text()


def test_an_empty_desk_says_how_to_begin_and_a_first_point_puts_findings_in_its_place(qtbot, desk):
    settled(qtbot, desk.document)
    assert card_of(desk).isVisible()
    desk.document.replace(small_plan(), None)
    settled(qtbot, desk.document)
    assert not card_of(desk).isVisible()
    assert desk.side.findings.list.isVisible()


def test_a_launch_point_alone_is_enough_to_say_what_is_found(qtbot, desk):
    """Else the verdict at the top would name a cause that stands nowhere."""
    assert desk.document.try_edit(SetLaunch(small_plan().path[0].place))
    settled(qtbot, desk.document)
    assert desk.side.findings.list.isVisible()
    shown = {each.rule for each in desk.side.findings.model.findings}
    assert shown == {each.rule for each in desk.document.assessment.findings} >= {"nothing-drawn"}
    desk.document.undo_stack.undo()
    settled(qtbot, desk.document)
    assert card_of(desk).isVisible()


def test_coordinates_lead_to_their_place_on_the_charts_that_speak_of_it(qtbot, desk):
    shown = []
    desk.begin.place_found.connect(shown.append)
    words = type_place(qtbot, desk, "37°48'43\"N 150°14'38\"W")
    assert shown[0].lat_deg == pytest.approx(37 + 48 / 60 + 43 / 3600)
    assert shown[0].lon_deg == pytest.approx(-(150 + 14 / 60 + 38 / 3600))
    assert "demo-island" in words
    assert desk.document.plan.chart_sets == ("demo-island",)


def test_a_place_on_no_chart_is_shown_and_never_judged_by_another_place_s_charts(qtbot, desk):
    type_place(qtbot, desk, "37.8121 -150.2440")
    words = type_place(qtbot, desk, "36.30 -84.20")
    assert "nothing there can be judged" in words
    assert desk.document.plan.chart_sets == ()


def test_what_is_drawn_stays_when_somebody_goes_elsewhere(qtbot, desk):
    desk.document.replace(small_plan(), None)
    settled(qtbot, desk.document)
    desk.begin.go_to("37.8121 -150.2440")
    assert desk.document.plan.path == small_plan().path
    desk.document.undo_stack.undo()
    assert desk.document.plan == small_plan()


def test_a_slip_is_one_line_and_changes_nothing(qtbot, desk):
    before = desk.document.plan
    assert "QQQQ" in type_place(qtbot, desk, "qqqq")
    assert "no position" in type_place(qtbot, desk, "somewhere over there")
    assert desk.document.plan == before


def test_an_identifier_is_looked_up_on_the_charts_first():
    # The package airportsdata lists KATL at 33.6367 N 84.4279 W; the authority's own chart supplement gives
    # 33-38.2 N 84-25.7 W (from memory).
    listed = find_whereabouts("katl", ())
    assert (listed.place.lat_deg, listed.place.lon_deg) == pytest.approx((33.6367, -84.4279), abs=0.01)
    charted = Aerodrome("KATL", "Charted (INVENTED)", Place(-150.2, 37.8))
    assert find_whereabouts("KATL", (charted,)).place == charted.place
    with pytest.raises(PlanError, match="no aerodrome"):
        find_whereabouts("zzzq", ())


def test_an_aerodrome_goes_by_its_charted_name(qtbot, desk, monkeypatch):
    corrow = Aerodrome("XX01", "CORROW FIELD (INVENTED)", Place(-150.23, 37.78))
    monkeypatch.setattr(desk.document, "world", World(aerodromes=(corrow,)), raising=False)
    assert type_place(qtbot, desk, "corrow field").startswith("CORROW FIELD (INVENTED)")
    assert type_place(qtbot, desk, "5SQB4260988546").startswith("37.8121 -150.2440")


def test_a_name_that_several_have_is_not_guessed():
    lake, north = (
        Aerodrome(ident, name, Place(-150.2, lat))
        for ident, name, lat in (("XX1", "LAKE FIELD", 37.8), ("XX2", "LAKE NORTH", 37.9))
    )
    assert find_whereabouts("lake field", (lake, north)).place == lake.place
    assert find_whereabouts("Lake  N", (Aerodrome("XX3", "LAKE N", Place(-150, 37)), north)).name == "LAKE N"
    with pytest.raises(PlanError, match="several aerodromes") as caught:
        find_whereabouts("lake", (lake, north))
    assert "XX1, XX2" in caught.value.remedy
    # A letter more or less is another word.
    with pytest.raises(PlanError):
        find_whereabouts("lakefi eld", (lake, north))


def test_a_name_on_no_chart_is_looked_up_in_the_packaged_list():
    # airportsdata lists KATL as "Hartsfield/Jackson Atlanta International Airport" or the like.
    from planner.world.readers.packaged_aerodromes import aerodrome_called

    name = aerodrome_called("KATL").name
    assert find_whereabouts(name.lower(), ()).place == aerodrome_called("KATL").place


def test_every_demo_flight_is_offered_under_a_name_of_its_own_and_opens(qtbot, desk):
    flights = demo_flights()
    names = [name for name, _ in flights]
    assert len(set(names)) == len(names) >= 28
    card = card_of(desk)
    card.demos.setCurrentIndex(3)
    qtbot.mouseClick(card.open_demo, Qt.MouseButton.LeftButton)
    assert desk.document.path == flights[3][1]


def test_plans_worked_on_are_offered_again_but_not_those_that_are_gone(qtbot, desk, tmp_path):
    kept, gone = tmp_path / "a&b.lowline.geojson", tmp_path / "gone.lowline.geojson"
    for path in (kept, gone):
        write_plan(small_plan(name=path.name[:4]), path)
        desk.document.replace(read_plan(path), path)
        settled(qtbot, desk.document)
    gone.unlink()
    desk.document.replace(type(small_plan())(), None)
    settled(qtbot, desk.document)
    (button,) = card_of(desk).recent_buttons
    assert button.text().startswith("a&&b.")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert desk.document.path == kept


def test_a_demo_flight_is_not_among_the_plans_worked_on(desk):
    desk.begin.open(demo_flights()[0][1])
    assert recent_plans(state_dir()) == ()


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "[1, null, {}]",
        '{"a": 1}',
        '[{"path": "relative", "name": "x", "draft": true, "at_utc": "2026-01-01T00:00:00+00:00"}]',
        '[{"path": "/x", "name": "x", "draft": true, "at_utc": "yesterday"}]',
        "[" * 100_000,
    ],
)
def test_a_damaged_list_of_plans_begins_anew(tmp_path, text):
    (tmp_path / "recent_plans.json").write_text(text, "utf-8")
    assert recent_plans(tmp_path) == ()
    plan = tmp_path / "mine.lowline.geojson"
    write_plan(small_plan(), plan)
    remember(tmp_path, plan, "Mine", draft=True)
    (recent,) = recent_plans(tmp_path)
    assert (recent.path, recent.name, recent.draft) == (plan, "Mine", True)
    assert len(json.loads((tmp_path / "recent_plans.json").read_text("utf-8"))) == 1


def test_names_of_demo_flights_are_told_apart_in_the_list_of_large_text_too(qtbot, qapp):
    """Our own rule: two rows that look the same can't be chosen between."""
    dress(qapp, Settings(text_percent=150.0))
    try:
        dialog = ChooseDialog("Demo flights", "", tuple(Choice(*one) for one in demo_flights()))
        qtbot.addWidget(dialog)
        dialog.show()
        for column in range(2):
            assert dialog.list.columnWidth(column) >= dialog.list.sizeHintForColumn(column)
        used = dialog.list.columnWidth(0) + dialog.list.columnWidth(1)
        room = dialog.screen().availableGeometry().width() - 80
        assert used <= dialog.list.viewport().width() or dialog.width() == room
    finally:
        dress(qapp)
