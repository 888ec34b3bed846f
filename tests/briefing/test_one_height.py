"""One height for one need: in the finding, on the card, on paper, in JSON and on the request sheet alike.

Expected heights are worked by hand over level ground, or taken from `test_asked_as_flown`, which works them.
400 ft above ground whatever an agency or the authority answers: 14 CFR 107.51(b), 49 USC 44809(a)(6) (check
values 1, A). That every text says the same figure is our own choice.
"""

import attrs
import pytest

from planner.assess import assess
from planner.briefing.judgement_words import permission_words
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.desk.need_card import need_lines
from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.inquiry_uses import inquiry_uses
from planner.wording import planned_ft
from planner.world.airspace import AirspaceKind
from tests.briefing import test_asked_as_flown as falls
from tests.briefing.test_asked_for_all import intended, troubles
from tests.briefing.test_asked_for_slopes import CELLS, VALLEY, over_a_valley
from tests.briefing.test_asked_for_ways import granted
from tests.worlds import volume, world

KINDS = {
    AirspaceKind.CLASS_D: "airspace-authorization",
    AirspaceKind.CLASS_E4: "class-e-extension",
    AirspaceKind.RESTRICTED: "closed-airspace",
    AirspaceKind.TEMPORARY: "closed-airspace",
}


def texts(answer, rule):
    """The finding, and the one need: on the card and on paper."""
    (told,) = [one for one in answer.findings if one.rule == rule]
    needs = [one for one in answer.permissions if one.airspace]
    (need,) = needs or [use.need for use in inquiry_uses(answer.case)]
    readout_m = answer.plan.readout_error_m
    return told, need, need_lines(need, readout_m)[1], permission_words(need, readout_m)[1]


@pytest.mark.parametrize(("kind", "rule"), KINDS.items())
def test_a_return_is_told_as_high_everywhere_as_it_is_asked_for(kind, rule):
    """30 m are drawn, home it comes at 60 m, the readout may be off by 3 m: 98.4, 196.9 and 206.7 ft."""
    flight = intended(LinkLossAction.RETURN_FIXED, 60.0)
    answer = assess(flight, world(airspace=(volume(kind, name="V"),), cells=CELLS))
    told, need, card, paper = texts(answer, rule)
    assert "plan goes up to 99 ft above ground there, on lost link up to 197 ft" in told.message
    assert " With what the readout may be off, ask for 207 ft." in told.message
    assert told.numbers["asked_agl_m"] == pytest.approx(30.0, abs=0.01)
    assert told.numbers["above_asked_m"] == pytest.approx(30.0, abs=0.01)
    for text in (card, paper):
        assert "lanned up to 99 ft above ground" in text
        assert "on lost link up to 197 ft" in text
        assert "ask for 207 ft, with what the readout may be off" in text
    (request,) = requests_for(answer)
    assert request.highest_agl_m == need.asked_agl_m
    assert dict(request_text(request, flight).rows)["highest, above ground"] == (
        "type 207 ft: 99 ft planned over the lowest ground near, on lost link up to 197 ft, "
        "10 ft more as the readout may be off"
    )


@pytest.mark.parametrize(("kind", "rule"), KINDS.items())
def test_so_is_what_is_flown_higher_than_it_sinks_and_on_ways_that_are_not_drawn(kind, rule):
    steep = assess(falls.flight(), falls.charts(kind))
    valley = assess(over_a_valley(), world(terrain=VALLEY, airspace=(volume(kind, name="V"),), cells=CELLS))
    ways = {
        "where the path falls faster than the aircraft sinks": steep,
        "on ways that are not drawn": valley,
    }
    for why, answer in ways.items():
        told, need, card, paper = texts(answer, rule)
        (request,) = requests_for(answer)
        so_high = planned_ft(request.highest_agl_m)
        assert request.highest_agl_m == pytest.approx(need.asked_agl_m, abs=2e-3)
        assert request.highest_agl_m > 35.0
        assert f", {why} up to {so_high}" in told.message
        for text in (card, paper):
            assert f"{why.replace(' that are', '')} up to {so_high}" in text


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("height_m", "over"), [(140.0, True), (118.0, False)])
def test_a_return_above_what_no_answer_lifts_is_a_stop_before_anybody_asks(kind, height_m, over):
    """140 m are 459 ft, 118 m 387 ft. With just what is asked for on record nothing new is to change."""
    charts = world(airspace=(volume(kind, name="V"),), cells=CELLS)
    flight = intended(LinkLossAction.RETURN_FIXED, height_m)
    asks_agency = KINDS[kind] == "closed-airspace"
    record_of = falls.PermissionKind.AGENCY if asks_agency else falls.PermissionKind.AUTHORIZATION
    before, _, after = granted(flight, charts, record_of)
    stops = {one.rule: one for one in before.findings if one.mark is Mark.STOP}
    assert ("link-loss-above-ceiling" in stops) is over
    assert not over or stops["link-loss-above-ceiling"].numbers["over_m"] == pytest.approx(18.08, abs=0.01)
    assert troubles(after) <= troubles(before)


def test_what_a_return_takes_of_a_closed_area_that_the_flight_enters_is_no_stop_of_its_own():
    """It is asked of its agency with the flight; elsewhere a return into it is a stop."""
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, name="V"),))
    before = assess(intended(LinkLossAction.RETURN_FIXED, 60.0), charts)
    assert {one.rule for one in before.findings if one.mark is Mark.STOP} == {"closed-airspace"}


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.RETURN_FIXED])
def test_what_is_on_record_stays_as_it_is(action):
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, name="V"),))
    flight = intended(action, 60.0 if action is LinkLossAction.RETURN_FIXED else None)
    _, _, after = granted(flight, charts, falls.PermissionKind.AGENCY)
    (need,) = [one for one in after.permissions if one.airspace]
    assert (need.recorded, need.rise_m) == (True, 0.0)


def test_a_recreational_flight_low_in_class_e_is_told_the_height_of_its_return():
    charts = world(airspace=(volume(AirspaceKind.CLASS_E_OTHER, name="E"),))
    flight = attrs.evolve(
        intended(LinkLossAction.RETURN_FIXED, 60.0), purpose=Purpose.RECREATIONAL, guidelines="INVENTED"
    )
    answer = assess(flight, charts)
    told, need, card, _ = texts(answer, "class-e-recreational")
    assert "goes up to 99 ft above ground there, on lost link up to 197 ft" in told.message
    assert "on lost link up to 197 ft" in card
    assert need.asked_agl_m == pytest.approx(60.0, abs=0.01)
