"""The time control worked like a hand does: real keys and mouse on the real window."""

from datetime import timedelta

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.briefing.moments import times_of
from planner.desk.commands import WorldSource
from planner.desk.hour.clock import Moment, clock_of
from planner.desk.hour.moment_words import light_words, moment_words, sun_words
from planner.desk.map_layers import asleep, drawn_closures
from planner.geo.window import TimeWindow
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from planner.plan.restrictions import TemporaryRestriction
from planner.world.light import sun_times
from planner.world.light_kinds import LightSpan
from planner.world.sun_position import SunPosition
from tests.desk.desk_rig import make_document, make_window, place, settled

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


def read(name):
    return read_plan(demo_missions_dir() / f"{name}.lowline.geojson")


@pytest.fixture
def desk(qtbot):
    document = make_document(WorldSource().load)
    document.replace(read("evening_glare"), None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.hours.close()
    document.close()


def press(window, key, times=1, modifier=Qt.KeyboardModifier.NoModifier):
    for _ in range(times):
        QTest.keyClick(window.hours.bar.band, key, modifier)


def test_keys_step_the_aircraft_and_the_flight_and_leave_the_plan_alone(desk):
    document, hours = desk.document, desk.hours
    before = document.plan, document.assessment, document.undo_stack.count()
    assert hours.moment is None
    desk.menu_actions["hour"].trigger()
    assert hours.moment == Moment(0.0, 0.0)
    press(desk, Qt.Key.Key_Right, 3)
    press(desk, Qt.Key.Key_Right, 1, SHIFT)
    press(desk, Qt.Key.Key_Up, 2)
    assert hours.moment == Moment(120.0, 13.0)
    # A calm 10 m/s is assumed where a leg states no speed; this path states its own.
    clock = clock_of(document.assessment)
    assert hours.aircraft_m == pytest.approx(clock.distance_at(13.0))
    assert desk.profile_view.panel.marker_m == hours.aircraft_m
    press(desk, Qt.Key.Key_Down, 9)
    press(desk, Qt.Key.Key_End)
    assert hours.moment == Moment(0.0, clock.duration_s)
    press(desk, Qt.Key.Key_Home)
    press(desk, Qt.Key.Key_Left)
    assert hours.moment == Moment(0.0, 0.0)
    press(desk, Qt.Key.Key_Escape)
    assert hours.moment is None
    assert desk.profile_view.panel.marker_m is None
    assert (document.plan, document.assessment, document.undo_stack.count()) == before


def test_the_mouse_brings_the_flight_to_the_pointer_and_never_out_of_the_window(desk):
    band, hours = desk.hours.bar.band, desk.hours
    clock = clock_of(desk.document.assessment)
    QTest.mousePress(band, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(round(band.x_px(600.0)), 10))
    assert hours.moment.after_s == pytest.approx(600.0, abs=clock.span_s / band.width())
    QTest.mouseMove(band, QPoint(band.width() + 500, 10))
    QTest.mouseRelease(band, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(band.width() + 500, 10))
    QTest.mouseClick(band, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(band.width() - 1, 10))
    assert hours.moment.start_s == pytest.approx(clock.latest_start_s)
    assert clock.latest_start_s + clock.duration_s == pytest.approx(clock.span_s)


def test_playing_flies_the_path_to_its_end_and_stops(desk, qtbot):
    hours, band = desk.hours, desk.hours.bar.band
    seen = []
    press(desk, Qt.Key.Key_End)
    press(desk, Qt.Key.Key_Left, 1)
    hours.aircraft_moved.connect(seen.append)
    press(desk, Qt.Key.Key_Space)
    assert hours.playing
    qtbot.waitUntil(lambda: not hours.playing, timeout=10_000)
    clock = clock_of(desk.document.assessment)
    assert hours.moment.flown_s == clock.duration_s
    assert seen == sorted(seen)
    QTest.keyClick(band, Qt.Key.Key_Space)
    assert hours.playing
    assert hours.moment.flown_s < 1.0
    QTest.keyClick(band, Qt.Key.Key_Space)
    assert not hours.playing


def test_the_words_give_light_and_sun_and_say_that_the_verdict_is_about_the_window(desk):
    (glare,) = [one for one in desk.document.assessment.findings if one.rule == "against-the-sun"]
    desk.menu_actions["hour"].trigger()
    desk.hours.point_at((glare.from_m + glare.to_m) / 2)
    words = desk.hours.bar.words.whole_text
    assert "day" in words
    assert "° true" in words
    assert "against the sun" in words
    desk.hours.point_at(glare.to_m + 60.0)
    assert "against the sun" not in desk.hours.bar.words.whole_text
    words = desk.hours.bar.words.whole_text
    assert desk.hours.bar.whole.isVisible()
    assert desk.hours.bar.whole.text() == "Verdict: whole window"
    assert desk.hours.bar.band.accessibleDescription() == words


def test_pointing_at_the_path_tells_when_this_flight_is_there_and_leaving_brings_the_aircraft_back(desk):
    press(desk, Qt.Key.Key_Up)
    press(desk, Qt.Key.Key_Right, 5)
    at_aircraft, place_m = desk.hours.bar.words.whole_text, desk.hours.aircraft_m
    panel = desk.profile_view.panel
    panel.hovered.emit(400.0)
    assert desk.hours.bar.words.whole_text != at_aircraft
    assert "aircraft at 400 m" in desk.hours.bar.words.whole_text
    panel.hover_left.emit()
    assert panel.marker_m == place_m
    assert desk.hours.bar.words.whole_text == at_aircraft


def test_without_window_or_path_there_is_no_control(desk):
    desk.document.replace(attrs.evolve(desk.document.plan, window=None), None)
    assert not desk.hours.bar.isVisible()
    desk.menu_actions["hour"].trigger()
    assert desk.hours.moment is None


def test_a_restriction_sleeps_and_wakes_with_the_moment():
    document = make_document(WorldSource().load)
    mission = read("evening_glare")
    start = mission.window.start_utc
    ring = tuple(place(east, north) for east, north in ((-90, -90), (90, -90), (90, 90), (-90, 90)))
    closed = TemporaryRestriction(
        "Closed later (INVENTED)",
        ring,
        from_utc=start + timedelta(minutes=30),
        to_utc=start + timedelta(hours=9),
    )
    document.replace(attrs.evolve(mission, restrictions=(closed,)), None)
    clock = clock_of(document.assessment)
    early, late = Moment(0.0, 0.0), Moment(clock.latest_start_s, clock.duration_s)
    assert "Closed later (INVENTED) not active" in moment_words(document.assessment, clock, early).hours
    assert "Closed later (INVENTED) active" in moment_words(document.assessment, clock, late).hours
    plan = document.plan
    assert [drawn_closures(plan, one.instant(clock))[0]["idle"] for one in (early, late)] == [True, False]
    # The plan's own window holds both: it is drawn as active.
    assert not drawn_closures(plan)[0]["idle"]
    assert asleep(document.world, None) == frozenset()
    document.close()


def test_a_flight_longer_than_its_window_begins_with_it():
    document = make_document()
    mission = read("evening_glare")
    short = TimeWindow(mission.window.start_utc, mission.window.start_utc + timedelta(seconds=20), "UTC")
    document.replace(attrs.evolve(mission, window=short), None)
    clock = clock_of(document.assessment)
    assert clock.duration_s > 20.0
    assert Moment(60.0, 5.0).within(clock) == Moment(0.0, 5.0)
    document.close()


def test_light_is_named_by_both_definitions():
    """14 CFR 107.29(c) and 14 CFR 1.1, standing A: 30 minutes and the almanac's 6 degrees overlap or part."""
    moment = sun_times(place(), read("evening_glare").window.start_utc).noon_utc

    def named(day=False, fixed=False, almanac=False, night=False):
        return light_words(LightSpan(moment, moment, day, fixed, almanac, night))

    assert named(day=True) == "day"
    assert named(fixed=True, almanac=True) == "civil twilight"
    assert named(fixed=True, night=True) == "civil twilight by the 30 minutes, night by the almanac"
    assert named(almanac=True) == "past the 30 minutes, not yet night"
    assert named(night=True) == "night"


@pytest.mark.parametrize(
    ("azimuth_deg", "altitude_deg", "words"),
    [
        (359.7, 12.4, "sun 000° true (north), 12° up"),
        (247.0, 4.0, "sun 247° true (west-southwest), 4° up"),
        (90.0, 0.1, "sun 090° true (east), at the horizon"),
        (300.0, -3.2, "sun 3° below the horizon"),
    ],
)
def test_the_sun_in_words(azimuth_deg, altitude_deg, words):
    assert sun_words(SunPosition(azimuth_deg, altitude_deg)) == words


def test_with_the_wind_known_the_aircraft_is_where_the_sheet_says(desk):
    answer = desk.document.assessment
    clock = clock_of(answer)
    assert clock.time_s == pytest.approx(times_of(answer, answer.track))
    slow = attrs.evolve(
        answer,
        flight=attrs.evolve(
            answer.flight, motion=attrs.evolve(answer.flight.motion, time_s=2.0 * answer.flight.motion.time_s)
        ),
    )
    assert clock_of(slow).duration_s == pytest.approx(2.0 * answer.flight.motion.time_s[-1])
    assert clock_of(slow).distance_at(clock_of(slow).duration_s) == pytest.approx(answer.track.length_m)
