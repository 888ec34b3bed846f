"""Where to turn back and where losing the link is worst: on map and profile, as the findings say it."""

import re

import pytest
from PySide6.QtTest import QTest

from planner.assess import assess_live
from planner.desk.map_flight import flight_marks
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.turn_back import turn_back_mark
from planner.geo.place import Place
from planner.rules.loss_axis import worst_loss
from tests.desk.map_hand import boxes, each_element, marks, plan, words
from tests.missions import judged_demo


def spots(answer):
    return {spot["shape"]: spot for spot in flight_marks(answer)["spots"]}


def finding(answer, rule):
    return next(one for one in answer.findings if one.rule == rule)


def test_the_turn_back_point_is_said_as_the_pilot_reads_it_and_lies_on_the_path():
    answer = judged_demo("long_run_against_the_wind")
    message = finding(answer, "home-not-reached").message
    where_m, read = re.match(r"Turn back at ([\d,]+) m: (.*? under load)\.", message).groups()
    mark = turn_back_mark(answer)
    assert mark.words == f"turn back: {read}"
    assert mark.distance_m == pytest.approx(float(where_m), abs=0.5)
    spot = spots(answer)["turn_back"]
    track = answer.track
    x_m, y_m = track.frame.place_to_xy(Place(*spot["lonlat"]))
    nearest_m = min((track.x_m - x_m) ** 2 + (track.y_m - y_m) ** 2) ** 0.5
    assert nearest_m < 20.0


def test_where_home_is_always_reached_there_is_no_turn_back_point():
    answer = judged_demo("long_run_shorter")
    assert answer.flight.charge is not None
    assert turn_back_mark(answer) is None
    assert "turn_back" not in spots(answer)


def test_the_worst_place_is_that_of_the_finding_and_its_way_ends_at_home():
    answer = judged_demo("ridge_return_too_low")
    told = finding(answer, "link-loss-too-low")
    spot = spots(answer)["lost"]
    assert spot["lonlat"] == pytest.approx([told.place.lon_deg, told.place.lat_deg])
    assert spot["label"] == "link lost here: hits, 91 ft too low"
    assert "91 ft too low" in told.message
    home = answer.plan.landing or answer.plan.launch
    (way,) = flight_marks(answer)["ways"]
    assert way[-1] == pytest.approx([home.place.lon_deg, home.place.lat_deg], abs=1e-7)


def test_a_return_above_the_ceiling_is_marked_where_it_is_most():
    answer = judged_demo("ridge_return_too_high")
    told = finding(answer, "link-loss-above-ceiling")
    worst = worst_loss(answer.case)
    assert worst.trouble
    assert worst.words.removeprefix("climbs ") in told.message.replace(
        "above what is allowed", "above the ceiling"
    )


def test_a_drop_is_marked_with_where_it_comes_down():
    answer = judged_demo("trail_drop")
    told = finding(answer, "link-loss-on-people")
    found = spots(answer)
    assert found["lost"]["label"] == "link lost here: comes down on SADDLE TRAIL (INVENTED)"
    assert found["lost"]["lonlat"] == pytest.approx([told.place.lon_deg, told.place.lat_deg])
    assert found["ends"]["lonlat"] != pytest.approx(found["lost"]["lonlat"])


def test_while_the_answer_is_awaited_nothing_old_is_shown():
    whole = judged_demo("trail_drop")
    live = assess_live(whole.plan, whole.world)
    assert flight_marks(live) == {"spots": [], "ways": []}


def test_the_profile_shows_it_with_words(qtbot):
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    panel.resize(720, 300)
    panel.show()
    qtbot.waitExposed(panel)
    answer = judged_demo("long_run_against_the_wind")
    panel.show_assessment(answer)
    mark = turn_back_mark(answer)
    qtbot.waitUntil(lambda: mark.words in [one.label.text for one in panel.plot.words.placed()])
    panel.show_assessment(assess_live(answer.plan, answer.world))
    assert mark.words not in [one.label.text for one in panel.plot.words.placed()]


def test_the_map_draws_the_marks_with_their_words(canvas, qtbot):
    answer = judged_demo("long_run_against_the_wind")
    drawn_marks = flight_marks(answer)
    canvas.set_flight(drawn_marks)
    lon, lat = spots(answer)["turn_back"]["lonlat"]
    canvas.fit(lon - 0.01, lat - 0.005, lon + 0.01, lat + 0.005)
    qtbot.waitUntil(lambda: turn_back_mark(answer).words in words(qtbot, canvas), timeout=10_000)
    assert len(each_element(qtbot, canvas, ".leaflet-symbols-pane .plan-symbol", "1")) == len(
        drawn_marks["spots"]
    )
    canvas.set_flight({"spots": [], "ways": []})
    qtbot.waitUntil(lambda: turn_back_mark(answer).words not in words(qtbot, canvas), timeout=10_000)


def test_words_that_must_be_shown_are_pushed_into_view(canvas, qtbot):
    long_words = "link lost here: comes down on " + "SOMEBODY (INVENTED) "
    spots = [
        {"shape": "lost", "lonlat": [lon, 37.8], "label": long_words + side, "always": True}
        for lon, side in ((-150.2195, "left"), (-150.1805, "right"))
    ]
    canvas.set_flight({"spots": spots, "ways": []})
    qtbot.waitUntil(lambda: sum(long_words in one for one in words(qtbot, canvas)) == 2, timeout=10_000)
    QTest.qWait(100)
    for left, top, right, bottom in boxes(qtbot, canvas, ".map-label"):
        assert left >= 0
        assert top >= 0
        assert right <= canvas.width()
        assert bottom <= canvas.height()
    canvas.set_flight({"spots": [], "ways": []})


@pytest.mark.parametrize("always", [True, False])
def test_the_words_of_a_mark_lie_over_neither_path_nor_way_nor_point(canvas, qtbot, always):
    """Our own rule: words keep clear of what is flown, some lines farther off if need be."""
    canvas.fit(-150.22, 37.79, -150.18, 37.81)
    # Legs to and fro, some 20 px apart: beside the mark, above and below it words would lie on one of them.
    norths = (37.7990, 37.8, 37.8010)
    coords = [
        (lon, north) for north in norths for lon in ((-150.21, -150.19), (-150.19, -150.21))[north == 37.8]
    ]
    canvas.set_plan(plan(path=coords, path_marks=marks(coords, *["clear"] * 5)))
    way = [[-150.2, 37.8], [-150.2, 37.805]]
    label = "worst place to lose the link: comes down here"
    lost = {"shape": "lost", "lonlat": [-150.2, 37.8], "label": label, "always": always}
    canvas.set_flight({"spots": [lost], "ways": [way]})
    qtbot.waitUntil(lambda: label in words(qtbot, canvas), timeout=10_000)
    QTest.qWait(100)
    told = dict(zip(words(qtbot, canvas), boxes(qtbot, canvas, ".map-label"), strict=True))
    left, top, right, bottom = told[label]
    found = {}
    for at in (*coords, *way):
        canvas.point_on_screen(*at, lambda x, y, at=tuple(at): found.update({at: (x, y)}))
    qtbot.waitUntil(lambda: len(found) == len({tuple(at) for at in (*coords, *way)}))
    rows = sorted({found[at][1] for at in coords})
    assert all(not top < row < bottom for row in rows if left < found[coords[1]][0])
    assert not (left < found[tuple(way[0])][0] < right and bottom < rows[1])
    canvas.set_flight({"spots": [], "ways": []})
