"""The strips of battery, links and what is beneath, and their words at the pointer.

What they show is held against the documented arrays of `check --json`, which come by another way.
"""

import itertools

import attrs
import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.assess import assess, assess_live
from planner.briefing.check_json import check_json
from planner.desk.commands import WorldSource
from planner.desk.profile.flight_readout import brief_words, strip_words
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.strip import Pattern, Tone
from planner.desk.profile.strips import strips_of
from planner.flight.below import GRAVEST_FIRST, Below
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.aircraft import Battery
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.file import read_plan
from planner.plan.performance import Performance
from planner.rules.beneath_axis import beneath_axis
from planner.rules.finding import Mark
from planner.rules.flight_axis import battery_lacks
from planner.world.world import World
from tests import worlds
from tests.desk.desk_rig import make_document, make_window, settled
from tests.missions import judged_demo

MISSIONS = ("long_run_against_the_wind", "canyon_video_breaks", "trail_drop", "two_pilots_one_channel")


@pytest.fixture(scope="module")
def judged():
    return {name: judged_demo(name) for name in MISSIONS}


def strips(assessment):
    return {strip.name: strip for strip in strips_of(assessment)}


def covers(strip, length_m):
    ends = [(one.from_m, one.to_m) for one in strip.intervals]
    assert ends[0][0] == 0.0
    assert ends[-1][1] == pytest.approx(length_m)
    assert all(before[1] == pytest.approx(after[0]) for before, after in itertools.pairwise(ends))


def test_the_battery_changes_at_the_turn_back_point_and_never_by_tone_alone(judged):
    answer = judged["long_run_against_the_wind"]
    strip = strips(answer)["battery"]
    covers(strip, answer.track.length_m)
    home, past = strip.intervals
    assert home.to_m == pytest.approx(answer.flight.charge.turn_back.at_m)
    assert (home.pattern, past.pattern) == (Pattern.PLAIN, Pattern.LEANING)
    assert "not reached" in past.text
    (stop,) = [one for one in answer.findings if one.rule == "home-not-reached"]
    assert (stop.from_m, stop.to_m) == pytest.approx((past.from_m, past.to_m))
    told = check_json(answer)
    assert strip.curve.share == pytest.approx(np.array(told["flight"]["charge_fraction"]))
    assert strip.curve.level == answer.plan.aircraft.performance.landing_reserve


def test_where_home_would_be_reached_again_the_point_has_been_passed_all_the_same(judged):
    """A path that comes back toward home: less is left to fly than where it turned back last."""
    answer = judged["long_run_against_the_wind"]
    charge = answer.flight.charge
    again = answer.track.distance_m > 0.9 * answer.track.length_m
    home = attrs.evolve(
        charge.turn_back,
        enough=charge.turn_back.enough | again,
        left_fraction=np.where(again, 0.251, charge.turn_back.left_fraction),
    )
    flight = attrs.evolve(answer.flight, charge=attrs.evolve(charge, turn_back=home))
    *_, past, last = strips(attrs.evolve(answer, flight=flight))["battery"].intervals
    assert (past.pattern, past.tone, past.short) == (Pattern.LEANING, Tone.STOP, "past turn-back")
    assert (last.pattern, last.tone, last.short) == (Pattern.LEANING, Tone.STOP, "past turn-back")
    assert "would be reached with 25 % again" in last.text
    assert last.from_m == pytest.approx(0.9 * answer.track.length_m, rel=0.02)


def test_the_margin_of_the_picture_is_told_with_what_is_wanted(judged):
    answer = judged["canyon_video_breaks"]
    strip = strips(answer)["video"]
    covers(strip, answer.track.length_m)
    told = check_json(answer)
    margins_db = np.array(told["flight"]["video_margin_db"])
    distance_m = np.array(told["profile"]["distance_m"])
    for interval in strip.intervals:
        here = margins_db[(distance_m >= interval.from_m) & (distance_m < interval.to_m)]
        gone, thin = bool((here < 0).all()), bool((here < 10).all())
        assert interval.tone is (Tone.STOP if thin else Tone.GOOD)
        assert interval.pattern is (Pattern.CROSSED if gone else Pattern.LEANING if thin else Pattern.PLAIN)
    assert "10 wanted" in strip.intervals[0].text
    lowest = f"{np.floor(margins_db.min()):.0f} dB"
    assert lowest == "-5 dB"
    assert strip.intervals[-1].text == f"no picture: down to {lowest}, 10 wanted".replace("-", "−")


def test_what_is_not_given_is_said_to_be_not_checked(judged):
    canyon = judged["canyon_video_breaks"]
    found = strips(canyon)
    assert set(found) == {"binds", "sight", "video", "beneath", "others"}
    assert found["others"].intervals[0].text == "not checked: battery, control link"
    assert found["others"].intervals[0].pattern is Pattern.SLANTED
    words = strip_words(canyon, 10.0, "others")
    assert words[1] == "control link: control radio not given"
    assert "what is beneath" not in " ".join(words)
    bare = assess(worlds.plan(), World())
    assert "what is beneath" in strips(bare)["others"].intervals[0].text


def test_what_the_battery_lacks_is_named_as_it_is(judged):
    plan = judged["long_run_against_the_wind"].plan
    craft = plan.aircraft

    def lacks(**changed):
        return battery_lacks(attrs.evolve(plan, aircraft=attrs.evolve(craft, **changed)))

    assert battery_lacks(plan) == ()
    # Of a rotorcraft whose hover alone is known nobody knows what it draws at speed.
    assert lacks(performance=Performance(hover_w=300.0)) == (
        "power and airspeed in cruise, or a measured flight",
    )
    assert lacks(battery=Battery("zinc", 6, 1300.0)) == ("a battery chemistry that is known",)
    assert "battery" in lacks(battery=None)
    assert battery_lacks(attrs.evolve(plan, launch=None, landing=None)) == ("launch or landing point",)


def test_where_only_the_fall_reaches_people_is_marked_as_they_are():
    """Before the path comes over a road with vehicles what fails falls on them: strip and words say so."""
    plan = read_plan(demo_missions_dir() / "ridge_line.lowline.geojson")
    ends = (Place(-150.176413, 37.820087), Place(-150.176286, 37.818071))
    road = BeneathItem(BeneathKind.ROAD, DrawnAs.LINE, ends, moving_vehicles=True)
    plan = attrs.evolve(plan, beneath=(road,))
    answer = assess(plan, WorldSource().load(plan))
    axis = beneath_axis(answer.case)
    onto = axis.falls_on == GRAVEST_FIRST.index(Below.VEHICLES)
    falls = np.flatnonzero(onto & (axis.over < 0) & (np.diff(axis.falls_on, prepend=-1) == 0))
    assert len(falls)
    for k in falls:
        assert axis.mark_at(k) is Mark.STOP
        words = strip_words(answer, float(answer.track.distance_m[k]), "beneath")
        assert words[0] == "beneath: falls on moving vehicles"


def test_the_trail_is_in_the_strip_where_the_finding_says_it_is(judged):
    answer = judged["trail_drop"]
    finding = next(one for one in answer.findings if one.title == "Over a trail")
    strip = strips(answer)["beneath"]
    covers(strip, answer.track.length_m)
    here = [one for one in strip.intervals if one.from_m <= finding.from_m + 1.0 <= one.to_m]
    assert "trail" in here[0].text
    assert here[0].pattern is Pattern.UPRIGHT
    words = " ".join(strip_words(answer, finding.from_m + 1.0, "beneath"))
    assert "over SADDLE TRAIL (INVENTED) (look before every pass" in words
    assert "falls up to" in words


@pytest.mark.parametrize("name", MISSIONS)
def test_while_the_answer_is_awaited_the_strips_keep_their_places(judged, name):
    whole = judged[name]
    live = assess_live(whole.plan, whole.world)
    assert [strip.name for strip in strips_of(live)] == [strip.name for strip in strips_of(whole)]
    for strip in strips_of(live):
        assert strip.name in ("binds", "others") or [one.text for one in strip.intervals] == ["checking"]
    assert brief_words(live, 10.0) == ()


@pytest.fixture
def window(qtbot):
    document = make_document(WorldSource().load)
    made = make_window(qtbot, document)
    made.resize(1280, 720)
    made.bring_profile()
    made.show()
    made.commands.open_path(demo_missions_dir() / "canyon_video_breaks.lowline.geojson")
    settled(qtbot, document)
    yield made
    document.close()


def on_strip(view, name, share):
    """Return a place on a strip, scrolled into view."""
    row = [strip.name for strip in view.strips].index(name)
    at = QPoint(round(view.width() * share), round(view.height() * (row + 0.5) / len(view.strips)))
    view.parentWidget().parentWidget().ensureVisible(at.x(), at.y())
    return at


def point_at(view, name, share):
    QTest.mouseMove(view, on_strip(view, name, share))


def test_the_line_under_the_map_tells_why_where_the_pointer_is(window, qtbot):
    panel = window.profile_view.panel
    point_at(panel.strips, "video", 0.3)
    qtbot.waitUntil(lambda: "analog video 5800 MHz" in window.readout.words)
    point_at(panel.strips, "others", 0.4)
    qtbot.waitUntil(lambda: "battery: " in window.readout.words)
    QTest.mouseMove(panel.plot.viewport(), panel.plot.viewport().rect().center())
    qtbot.waitUntil(lambda: "video " in window.readout.words)


def click_on(view, name, share):
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=on_strip(view, name, share))


def test_a_click_leads_to_the_finding_there_or_to_the_form_that_asks(window, qtbot):
    view, side = window.profile_view.panel.strips, window.side
    side.go_to("points")
    click_on(view, "video", 0.97)
    assert side.currentWidget() is side.findings
    (chosen,) = side.findings.list.selectedIndexes()
    assert side.findings.model.findings[chosen.row()].rule == "video-margin"
    click_on(view, "others", 0.5)
    assert side.currentWidget() is side.plan
    qtbot.waitUntil(side.plan.sections["aircraft"].fields["capacity"].input.hasFocus)


def test_the_pilot_may_hide_them_and_that_is_kept(window, qtbot):
    panel = window.profile_view.panel
    kept = []
    window.settings_changed.connect(kept.append)
    before = panel.plot.height()
    window.menu_actions["flight_strips"].trigger()
    assert [strip.name for strip in panel.strips.strips] == ["binds", "sight"]
    qtbot.waitUntil(lambda: panel.plot.height() > before)
    assert kept[-1].layer_switches == {"flight-strips": False}
    window.menu_actions["flight_strips"].trigger()
    assert "video" in [strip.name for strip in panel.strips.strips]


def test_the_profile_keeps_room_for_its_heights_in_a_small_window(window, qtbot):
    panel = window.profile_view.panel
    qtbot.waitUntil(lambda: panel.strips.height() > 60)
    assert panel.plot.plot_box().height() >= 80
    assert isinstance(panel, ProfilePanel)


def test_what_is_fallen_on_for_a_few_metres_looks_unlike_the_nothing_on_both_sides():
    """Our own rule (issue 8: clear at the first look): two stretches that say one thing are told apart."""
    pieces = strips(judged_demo("ridge_line"))["beneath"].intervals
    assert [one.text for one in pieces] == ["nothing on record", "falls on crew", "nothing on record"]
    looks = [(one.pattern, one.tone) for one in pieces]
    assert looks[0] == looks[2] != looks[1]
