"""Who is granted just what the sheet asks for may fly, where the ground falls away and airspaces overlap.

That a permission holds within its outline and up to its height over the ground: 14 CFR 107.41 (check values
1, A); the height limit of 400 ft: 14 CFR 107.51(b), 121.92 m. What has to be asked for is our own reckoning.
"""

from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.geo.heights import AboveGround
from planner.permission.need import Subject
from planner.plan.aircraft import LinkLossAction
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.wording import heights_of, planned_ft
from planner.world.airspace import AirspaceKind
from tests.briefing.test_asked_for_all import intended, spot, troubles
from tests.worlds import GROUND_M, WINDOW, area, box, cell, points, record, slope, terrain, volume, world

DROP, LAND, HOLD = LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD
HILL = terrain(slope(0.3))
CELLS = (cell(400),)
IN_D = world(terrain=HILL, airspace=(volume(name="D"),), cells=CELLS)
DOWNHILL = points([(200, 0, 40.0), (-200, 0, 40.0)], LegShape.FOLLOW_GROUND)
FAST = Performance(cruise_mps=15.0, highest_mps=20.0)


def granted(flight, charts):
    """What is said before, what is asked for, and what is said with just that on record."""
    before = assess(flight, charts)
    asked = requests_for(before)
    papers = tuple(
        record(
            one.need.airspace,
            one.may_reach_agl_m,
            ring=one.area.ring,
            reference=f"INVENTED-{k}",
            valid_from_utc=WINDOW.start_utc - timedelta(hours=1),
            valid_to_utc=WINDOW.end_utc,
        )
        for k, one in enumerate(asked)
    )
    return before, asked, assess(attrs.evolve(flight, permissions=papers), charts)


def exact(flight, able=None):
    """The flight with a readout that is never off: nothing but what is asked for is to spare."""
    readout = attrs.evolve(flight.aircraft.readout, error_m=0.0)
    return attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, readout=readout, performance=able))


@pytest.mark.parametrize("path", [DOWNHILL, points([(200, 0, 40.0), (-200, 0, 40.0)])])
@pytest.mark.parametrize(("action", "delay_s"), [(DROP, 0.5), (DROP, 4.0), (LAND, 4.0), (HOLD, 4.0)])
def test_what_comes_down_over_ground_that_falls_away_is_asked_for(path, action, delay_s):
    before, (request,), after = granted(
        exact(intended(action, path=path, delay_s=delay_s, launch=spot(200), landing=spot(-200))), IN_D
    )
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)
    # 2.9 s of fall from 40 m, at 10 m/s, lead over ground that falls by 8.6 m: no higher above it than that.
    assert request.rise_m < 10.0


def test_thrown_ahead_over_a_slope_it_is_higher_above_the_ground_than_flown():
    """40 m up, level over ground that falls 0.3 m a metre."""
    level = points([(0, 0, 40.0), (-100, 0, 10.0)])
    _, (request,), after = granted(exact(intended(DROP, path=level, delay_s=0.0)), IN_D)
    assert request.rise_m > 0.0
    assert after.verdict is Verdict.READY


@pytest.mark.parametrize("purpose", [Purpose.PART_107, Purpose.RECREATIONAL])
def test_each_of_two_that_overlap_is_asked_for_as_high_as_the_return(purpose):
    both = tuple(
        volume(kind, name=name) for kind, name in ((AirspaceKind.CLASS_C, "C"), (AirspaceKind.CLASS_D, "D"))
    )
    flight = intended(LinkLossAction.RETURN_FIXED, 60.0, purpose=purpose)
    before, asked, after = granted(flight, world(airspace=both, cells=CELLS))
    assert [one.rise_m for one in asked] == [pytest.approx(30.0, abs=0.5)] * 2
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)


@pytest.mark.parametrize(("height_m", "told"), [(121.0, False), (123.0, True)])
def test_what_no_answer_of_the_authority_could_open_is_told_before_it_is_asked(height_m, told):
    """In an extension of Class E: what a return does above 400 ft stays too high, whatever is answered."""
    there = volume(AirspaceKind.CLASS_E4, name="E4")
    flight = exact(intended(LinkLossAction.RETURN_FIXED, height_m))
    before, (request,), after = granted(flight, world(airspace=(there,)))
    assert request.need.subject is Subject.INQUIRY
    for answer in (before, after):
        assert ("link-loss-above-ceiling" in troubles(answer)) is told
    (one, *_) = [one for one in before.findings if one.rule == "link-loss-above-ceiling"] or [None]
    assert one is None or one.numbers["over_m"] == pytest.approx(123.0 - 121.92, abs=0.01)


def from_an_area(action=HOLD, delay_s=4.0, able=FAST, outline=None):
    """An area on the slope; an airspace begins 15 m west of it on lower ground, and the launch is there."""
    flight = intended(
        action,
        path=(),
        area=area(box(-60, -60, 60, 60), AboveGround(40.0)),
        delay_s=delay_s,
        launch=spot(-140),
        landing=spot(-140),
    )
    there = volume(name="D", outline=box(-900, -900, -75, 900) if outline is None else outline)
    return exact(flight, able), world(terrain=HILL, airspace=(there,), cells=CELLS)


@pytest.mark.parametrize("action", [HOLD, LAND, DROP])
@pytest.mark.parametrize("outline", [None, box(-900, -900, 0, 900), box(-900, -900, 900, 900)])
def test_what_comes_down_from_an_area_over_lower_ground_is_asked_for(action, outline):
    """It flies on for 80 m, over ground that lies 24 m lower there."""
    _, (request,), after = granted(*from_an_area(action, outline=outline))
    assert request.rise_m > 10.0
    assert after.verdict is Verdict.READY


@pytest.mark.parametrize(("able", "told"), [(None, True), (FAST, False)])
def test_that_no_airspeed_leaves_open_how_far_to_ask_is_said_before(able, told):
    """At 87 kt, 44.8 m/s, it flies on for 179 m, farther than the usual margin of 50 m about the area."""
    before, _, after = granted(*from_an_area(able=able, outline=box(-900, -900, 900, 900)))
    acts = [one for one in before.findings if one.rule == "reach-not-known" and one.mark is Mark.ACT]
    assert len(acts) == int(told)
    assert ("reach-not-known" in troubles(after)) is told


# ---- what the sheet says of ways that are not drawn

VALLEY = terrain(lambda east_m, _north_m: GROUND_M - 25.0 * np.exp(-(((east_m + 150.0) / 40.0) ** 2)))
"""25 m deep 150 m west of the middle, where the straight way from the launch at -300 m leads over it."""


def over_a_valley(action=LAND, height_m=None, **changes):
    return exact(
        intended(
            action,
            height_m,
            delay_s=0.5,
            path=points([(0, 0, 30.0), (300, 0, 30.0)]),
            launch=spot(-300),
            landing=spot(300),
            **changes,
        )
    )


@pytest.mark.parametrize(("kind", "subject"), [("CLASS_D", Subject.AIRSPACE), ("CLASS_E4", Subject.INQUIRY)])
def test_of_ways_that_are_not_drawn_the_sheet_says_how_much_higher_they_are(kind, subject):
    """Halfway to 30 m it is 15 m over the launch's ground, and up to 40 m over the bottom of the valley."""
    charts = world(terrain=VALLEY, airspace=(volume(AirspaceKind[kind], name="V"),), cells=CELLS)
    before, (request,), after = granted(over_a_valley(), charts)
    need = request.need
    assert need.subject is subject
    assert need.drawn_agl_m == pytest.approx(30.0, abs=0.2)
    assert need.way_rise_m == pytest.approx(need.asked_agl_m - need.rise_m - 30.0, abs=0.2)
    assert 8.0 < need.way_rise_m < 11.0
    row = dict(request_text(request, before.plan).rows)["highest, above ground"]
    assert ", on ways that are not drawn up to " in row
    assert row.startswith(
        f"type {planned_ft(request.highest_agl_m)}: 99 ft planned over the lowest ground near"
    )
    assert after.verdict is Verdict.READY


def test_of_an_answer_asked_for_a_return_counts_as_one():
    charts = world(airspace=(volume(AirspaceKind.CLASS_E4, name="E4"),))
    before, (request,), after = granted(exact(intended(LinkLossAction.RETURN_FIXED, 60.0)), charts)
    assert (request.need.drawn_agl_m, request.rise_m) == (pytest.approx(30.0), pytest.approx(30.0))
    row = dict(request_text(request, before.plan).rows)["highest, above ground"]
    assert row.startswith("type 197 ft: 99 ft planned over the lowest ground near, on lost link up to 197 ft")
    assert after.verdict is Verdict.READY


def test_where_nothing_is_flown_higher_than_drawn_nothing_more_is_said():
    _, (request,), _ = granted(
        exact(intended(LAND, delay_s=0.5)), world(airspace=(volume(name="D"),), cells=CELLS)
    )
    assert (request.need.way_rise_m, request.rise_m) == (0.0, 0.0)
    assert " up to " not in dict(request_text(request, intended(LAND)).rows)["highest, above ground"]


def test_the_finding_and_the_card_name_each_of_them():
    charts = world(terrain=VALLEY, airspace=(volume(name="D"),), cells=CELLS)
    before = assess(over_a_valley(LinkLossAction.RETURN_FIXED, 60.0), charts)
    (told,) = [one for one in before.findings if one.rule == "airspace-authorization"]
    (need,) = [one for one in before.permissions if one.subject is Subject.AIRSPACE]
    for words in (
        "the plan goes up to 99 ft above ground there, on ways that are not drawn up to ",
        ", on lost link up to ",
    ):
        assert words in told.message
    drawn, ways, lost = heights_of(need, planned_ft)
    assert drawn == "planned up to 99 ft above ground"
    assert ways.startswith("on ways not drawn up to 1")
    assert lost.startswith("on lost link up to ")


def test_ways_to_bail_out_places_are_named_where_there_are_any():
    flight = intended(LAND, delay_s=0.5)
    (request,) = requests_for(assess(flight, world(airspace=(volume(name="D"),), cells=CELLS)))
    assert "bail-out" not in request_text(request, flight).holds
    assert "and to bail-out places" in request_text(attrs.evolve(request, bails_out=True), flight).holds
