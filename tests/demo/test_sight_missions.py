"""The missions on sight and light: what they show, and that their remedies cure them."""

import re
from datetime import timedelta

import attrs
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.report_text import report_text as report
from planner.chart_folders import known_chart_sets
from planner.geo.geodesy import TrueBearing, travel
from planner.locate import demo_missions_dir
from planner.plan.crew import Role
from planner.plan.file import read_plan
from planner.remedy.stand import StandQuestion, where_to_stand
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from planner.units import FOOT_M

UNSEEN = {"hidden-from-crew", "too-far-to-see", "sight-not-known", "distance-not-tried", "against-the-sun"}


def mission(name):
    plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return plan, surroundings(plan, known_sets=known_chart_sets())


def rules_of(answer, *marks):
    return {finding.rule for finding in answer.findings if finding.mark in marks}


def test_the_canyon_hides_the_aircraft_and_a_suggested_place_cures_it():
    plan, world = mission("canyon_hidden")
    answer = assess(plan, world)
    (stop,) = [finding for finding in answer.findings if finding.mark is Mark.STOP]
    assert stop.rule == "hidden-from-crew"
    assert stop.to_m - stop.from_m == pytest.approx(140.0, abs=15.0)
    assert stop.numbers["clearance_m"] < -1.0
    question = StandQuestion(
        track=answer.track,
        surfaces=answer.sight.surfaces,
        launch=plan.launch.place,
        reach=answer.sight.viewers[0].reach,
        conditions=answer.sight.conditions,
    )
    place = where_to_stand(question).places[0].place
    crew = tuple(attrs.evolve(member, place=place) for member in plan.crew)
    assert assess(attrs.evolve(plan, crew=crew), world).verdict is Verdict.READY


def named_stop(answer):
    (stop,) = [finding for finding in answer.findings if finding.mark is Mark.STOP]
    return stop


@pytest.mark.parametrize(
    ("name", "rule"),
    [
        ("canyon_hidden", "hidden-from-crew"),
        ("evening_glare", "against-the-sun"),
        ("behind_the_pines", "hidden-from-crew"),
    ],
)
def test_the_place_that_the_remedy_names_cures_it(name, rule):
    plan, world = mission(name)
    (remedy,) = [one.remedy for one in assess(plan, world).findings if one.rule == rule]
    metres, bearing_deg = map(float, re.search(r"\((\d+) m\) to the \w+ \((\d+)° true\)", remedy).groups())
    crew = tuple(
        attrs.evolve(member, place=travel(member.place, TrueBearing(bearing_deg), metres))
        for member in plan.crew
    )
    assert assess(attrs.evolve(plan, crew=crew), world).verdict is Verdict.READY


def test_the_pines_hide_the_aircraft_and_nothing_else_does():
    plan, world = mission("behind_the_pines")
    stop = named_stop(assess(plan, world))
    assert stop.rule == "hidden-from-crew"
    assert "behind the trees “Pine stand (invented)”" in stop.message
    assert assess(attrs.evolve(plan, beneath=()), world).verdict is Verdict.READY
    (pines,) = plan.beneath
    unmeasured = assess(attrs.evolve(plan, beneath=(attrs.evolve(pines, height_m=None),)), world)
    assert rules_of(unmeasured, Mark.STOP, Mark.UNKNOWN) == {"sight-not-known"}


def test_the_height_that_the_canyons_remedy_names_is_enough_and_a_little_less_is_not():
    plan, world = mission("canyon_hidden")
    stop = named_stop(assess(plan, world))
    feet = int(re.search(r"fly (\d+) ft higher", stop.remedy).group(1))

    def hidden(rise_ft):
        raised = tuple(
            attrs.evolve(point, height=type(point.height)(point.height.m + rise_ft * FOOT_M))
            for point in plan.path
        )
        answer = assess(attrs.evolve(plan, path=raised), world)
        return "hidden-from-crew" in rules_of(answer, Mark.STOP)

    assert not hidden(feet + 1)
    assert hidden(feet - 5)


def test_the_hour_that_the_unlit_missions_remedy_names_cures_it():
    """14 CFR 107.29(b), A: in daylight no light is wanted."""
    plan, world = mission("twilight_without_light")
    hour, minute = map(
        int, re.search(r"begin the window at (\d\d):(\d\d)", named_stop(assess(plan, world)).remedy).groups()
    )
    local = plan.window.local(plan.window.start_utc)
    shift = timedelta(hours=hour - local.hour, minutes=minute - local.minute)
    # Nearest: five minutes later it would not do.
    for late, cured in ((timedelta(0), True), (timedelta(minutes=5), False)):
        window = attrs.evolve(
            plan.window,
            start_utc=plan.window.start_utc + shift + late,
            end_utc=plan.window.end_utc + shift + late,
        )
        stops = rules_of(assess(attrs.evolve(plan, window=window), world), Mark.STOP)
        assert ("no-light-by-dark" not in stops) is cured


def test_every_unseen_stretch_names_its_ends_its_reason_and_a_remedy_on_desk_paper_and_command_line():
    for name in ("canyon_hidden", "evening_glare", "long_ridge_small_quad", "behind_the_pines"):
        plan, world = mission(name)
        answer = assess(plan, world)
        unseen = [
            one for one in answer.findings if one.rule in UNSEEN and one.mark in (Mark.STOP, Mark.UNKNOWN)
        ]
        assert unseen
        text = " ".join(report(answer).split())
        told = check_json(answer)["findings"]
        for finding in unseen:
            assert finding.to_m > finding.from_m
            assert finding.remedy
            assert " ".join(finding.remedy.split()) in text
            assert any(one["remedy"] == finding.remedy and one["from_m"] is not None for one in told)
        # 14 CFR 107.205(c), A: 107.31 can be waived; nothing of it heals what nobody has tried.
        assert all(("107.31" in one.remedy) is (one.mark is Mark.STOP) for one in unseen)


def test_the_evening_sun_is_cured_by_the_hour_that_the_remedy_names():
    plan, world = mission("evening_glare")
    answer = assess(plan, world)
    (glare,) = [finding for finding in answer.findings if finding.mark is Mark.UNKNOWN]
    assert glare.rule == "against-the-sun"
    # Seen from the middle of the ridge the evening sun stands in the west-north-west, and low.
    assert glare.numbers["sun_angle_deg"] < 20.0
    hour, minute = map(int, re.search(r"begin the window at (\d\d):(\d\d)", glare.remedy).groups())
    local = plan.window.local(plan.window.start_utc)
    shift = timedelta(hours=hour - local.hour, minutes=minute - local.minute)
    window = attrs.evolve(
        plan.window, start_utc=plan.window.start_utc + shift, end_utc=plan.window.end_utc + shift
    )
    assert assess(attrs.evolve(plan, window=window), world).verdict is Verdict.READY


def test_twilight_needs_the_light():
    """14 CFR 107.29(b), A: in civil twilight a lit anti-collision light, seen for 3 statute miles."""
    (dark, world), (lit, _) = mission("twilight_without_light"), mission("twilight_with_light")
    assert dark.window == lit.window
    assert dark.path == lit.path
    without, with_it = assess(dark, world), assess(lit, world)
    assert rules_of(without, Mark.STOP) == {"no-light-by-dark"}
    assert rules_of(with_it, Mark.STOP, Mark.UNKNOWN) == set()
    assert {"lights-by-dark", "tried-in-other-light"} <= rules_of(with_it, Mark.ACT)


def test_a_second_observer_does_not_cure_what_the_pilot_cannot_see():
    """14 CFR 107.31(a), standing A: remote pilot and person at the controls must be able to see it too."""
    plan, world = mission("long_ridge_small_quad")
    two = assess(plan, world)
    assert len(plan.crew_in(Role.OBSERVER)) == 2
    pilot = plan.crew_in(Role.REMOTE_PILOT)[0]
    stops = [finding for finding in two.findings if finding.mark is Mark.STOP]
    assert stops
    assert all(pilot.name in finding.title for finding in stops)
    assert "14 CFR 107.31(a)" in {finding.citation for finding in stops}
    assert "waiver of 14 CFR 107.31" in stops[0].remedy
    # The observers between them hide nothing: it is the pilot's own place that the stops are about.
    observers = {member.name for member in plan.crew_in(Role.OBSERVER)}
    assert not any(name in finding.title for finding in stops for name in observers)
