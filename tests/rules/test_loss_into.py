"""What comes down where it is on lost link, and the airspace that it then meets; what a return takes.

What is closed, and to whom: 14 CFR 107.45 and part 73 (check_values 1.17, standing A), Class D: 14 CFR
107.41; of Class E extensions: check_values 1.13. That what is closed is met no less by an action than by
the path, and that a permission to be asked for is no stop before it is asked: our own rules (design 2).
Heights by hand over level ground.
"""

import attrs
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.geo.heights import AboveGround, AboveLaunch
from planner.permission.need import Route
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.geometry import Leg
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.inquiry_uses import inquiry_uses
from planner.rules.loss_axis import worst_loss
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, cell, ft, plan, points, record, volume, world

LAND, DROP, HOLD = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD
UNDER = {"floor": above_ground(10.0), "top": above_ground(25.0)}
AROUND = {
    "path": points([(0, 0, 30.0), (400, 0, 30.0), (400, 200, 30.0)]),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(400, 200), LandStatus.OWN),
}
BENEATH, AHEAD = box(150, -50, 250, 50), box(408, -20, 440, 20)


def answer(action, *airspace, cells=(), height_m=None, purpose=Purpose.PART_107, **changes):
    flight = plan(purpose, **changes)
    height = None if height_m is None else AboveLaunch(height_m)
    loss = LinkLoss(action, 1.0, height)
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    return assess(flight, world(airspace=airspace, cells=cells))


def met(found):
    return [one for one in found.findings if one.rule == "link-loss-comes-through"]


@pytest.mark.parametrize("action", [LAND, DROP, HOLD])
@pytest.mark.parametrize(
    ("kind", "mark", "verdict"),
    [
        (AirspaceKind.RESTRICTED, Mark.STOP, Verdict.MUST_CHANGE),
        (AirspaceKind.PROHIBITED, Mark.STOP, Verdict.MUST_CHANGE),
        (AirspaceKind.CLASS_E4, Mark.UNKNOWN, Verdict.UNDETERMINED),
    ],
)
def test_a_band_beneath_the_path_is_come_down_through(action, kind, mark, verdict):
    found = answer(action, volume(kind, BENEATH, name="BAND", **UNDER), **AROUND)
    (one,) = met(found)
    assert (one.mark, found.verdict) == (mark, verdict)
    assert one.from_m < 150.1 < 200.0 < one.to_m
    assert "comes down through BAND" in one.title
    assert ("Only the authority" in one.message) is (mark is Mark.UNKNOWN)
    assert "No time is set" not in one.message
    assert "comes down through BAND" in worst_loss(found.case).words


@pytest.mark.parametrize("action", [LAND, DROP, HOLD])
def test_what_is_above_or_aside_of_its_way_down_is_not_met(action):
    above = volume(
        AirspaceKind.RESTRICTED, BENEATH, name="A", floor=above_ground(40.0), top=above_ground(60.0)
    )
    aside = volume(AirspaceKind.RESTRICTED, box(150, 30, 250, 50), name="B", **UNDER)
    assert not met(answer(action, above, aside, **AROUND))


def test_where_it_flies_on_first_it_comes_into_what_lies_ahead():
    """The first leg leads toward it and turns 8 m before; at 10 m/s and more, 1 s is farther."""
    shut = volume(AirspaceKind.RESTRICTED, AHEAD, name="AHEAD")
    (one,) = met(answer(LAND, shut, **AROUND))
    assert (one.mark, one.from_m) == (Mark.STOP, pytest.approx(400.0, abs=15.0))


def test_a_drop_is_thrown_as_far_as_it_falls():
    """By hand: 1 s of delay and 2.0 s of fall from 30 m to 10 m (standard gravity) carry it at 20 m/s from
    400 m to 460 m, 440 m at 25 m. What lands comes down at 420 m."""
    ends = points([(0, 0, 30.0), (400, 0, 30.0)])
    fast = {**AROUND, "path": tuple(attrs.evolve(one, leg=Leg(speed_mps=20.0)) for one in ends)}
    beyond = volume(AirspaceKind.RESTRICTED, box(445, -20, 475, 20), name="BEYOND", **UNDER)
    assert met(answer(DROP, beyond, **fast))
    assert not met(answer(LAND, beyond, **fast))


@pytest.mark.parametrize(("outline", "opened"), [(None, True), (box(150, -50, 200, 50), False)])
def test_a_record_opens_what_it_covers(outline, opened):
    ring = None if outline is None else area(outline, None).ring
    held = record("BAND", 25.0, PermissionKind.AGENCY, ring=ring)
    shut = volume(AirspaceKind.RESTRICTED, BENEATH, name="BAND", **UNDER)
    assert bool(met(answer(LAND, shut, permissions=(held,), **AROUND))) is not opened


# ---- what has to be asked for beneath the path alone, by the same route as what is flown in


@pytest.mark.parametrize(
    ("action", "kind"),
    [
        (LAND, AirspaceKind.CLASS_D),
        (DROP, AirspaceKind.CLASS_D),
        (HOLD, AirspaceKind.CLASS_C),
        (LAND, AirspaceKind.CLASS_E2),
    ],
)
def test_what_it_comes_down_through_alone_is_asked_for_up_to_its_top(action, kind):
    """14 CFR 107.41 asks of whoever operates in it. The band ends 25 m up, the path is 30 m up."""
    band, charts = volume(kind, BENEATH, name="BAND", **UNDER), {"cells": (cell(200),)}
    found = answer(action, band, **charts, **AROUND)
    (need,) = found.permissions
    assert (found.verdict, met(found)) == (Verdict.PERMISSION_NEEDED, [])
    assert (need.route, need.not_drawn, need.asked_agl_m) == (Route.AUTOMATED, True, pytest.approx(25.0))
    (told,) = [one for one in found.findings if one.rule == "airspace-authorization"]
    assert "what the aircraft does by itself on lost link, comes up to 83 ft" in told.message
    # As high as asked it is enough, lower it is not.
    verdicts = [
        answer(action, band, permissions=(record("BAND", height_m),), **charts, **AROUND).verdict
        for height_m in (25.0, 24.0)
    ]
    assert verdicts == [Verdict.READY, Verdict.PERMISSION_NEEDED]


def test_what_of_it_a_record_does_not_reach_is_said():
    ring = area(box(150, -50, 200, 50), None).ring
    band = volume(AirspaceKind.CLASS_D, BENEATH, name="BAND", **UNDER)
    found = answer(LAND, band, cells=(cell(200),), permissions=(record("BAND", 25.0, ring=ring),), **AROUND)
    (need,) = found.permissions
    assert found.verdict is Verdict.PERMISSION_NEEDED
    assert "the plan leaves it where it comes down by itself on lost link" in need.shortfall


def test_above_the_cell_what_comes_down_takes_the_same_route_as_what_is_flown():
    """JO 7210.3 ch. 12 paragraph 10: above the value of a cell by further coordination."""
    band = volume(AirspaceKind.CLASS_D, BENEATH, name="BAND", **UNDER)
    (need,) = answer(LAND, band, cells=(cell(50),), **AROUND).permissions
    assert need.route is Route.FURTHER_COORDINATION


def test_an_extension_beneath_the_path_is_asked_about_and_stays_open():
    band = volume(AirspaceKind.CLASS_E4, BENEATH, name="BAND", **UNDER)
    found = answer(LAND, band, **AROUND)
    (use,) = inquiry_uses(found.case)
    assert (found.verdict, use.need.route, use.need.not_drawn) == (
        Verdict.UNDETERMINED,
        Route.ASK_AUTHORITY,
        True,
    )
    assert use.need.asked_agl_m == pytest.approx(25.0)


# ---- a return through airspace that the flight itself has to ask for


def test_a_return_through_what_is_to_be_asked_for_is_no_stop_and_says_for_what_to_ask():
    """The path needs 30 m, its return 45 m: 98.4 and 147.6 ft, each told rounded up."""
    found = answer(LinkLossAction.RETURN_FIXED, volume(), cells=(cell(200),), height_m=45.0)
    (one,) = [one for one in found.findings if one.rule.startswith("link-loss-above")]
    assert (one.rule, one.mark) == ("link-loss-above-asked", Mark.ACT)
    assert found.verdict is Verdict.PERMISSION_NEEDED
    assert "up to 148 ft over the lowest ground about it, where the plan needs 99 ft" in one.message
    assert "ask for 148 ft there" in one.remedy


@pytest.mark.parametrize(
    ("cell_ft", "purpose", "words"),
    [
        (150, Purpose.PART_107, "ask for 148 ft"),
        (120, Purpose.PART_107, "ask by a further coordination request for 148 ft"),
        (120, Purpose.RECREATIONAL, "ask the authority for 148 ft"),
    ],
)
def test_above_the_cell_it_is_said_that_the_automated_service_does_not_give_it(cell_ft, purpose, words):
    """JO 7210.3 ch. 12 §10: up to the lowest touched value automatically, above it by coordination."""
    found = answer(
        LinkLossAction.RETURN_FIXED, volume(), cells=(cell(cell_ft),), height_m=45.0, purpose=purpose
    )
    (one,) = [one for one in found.findings if one.rule == "link-loss-above-asked"]
    assert one.remedy.startswith(words)
    assert ("The automated service gives 120 ft there at the most." in one.message) is (cell_ft == 120)


@pytest.mark.parametrize(
    ("cell_ft", "error_m", "asked", "typed"),
    [
        # 48 m are 157.5 ft.
        (200, 3.0, "ask for 158 ft there, with what the readout may be off, ", "type 158 ft: "),
        (120, 3.0, "ask by a further coordination request for 158 ft there, with what ", "type 158 ft: "),
        (
            150,
            3.0,
            "ask for 150 ft there, with what the readout may be off, ",
            "type 150 ft, the most that is given here: ",
        ),
        (200, 0.0, "ask for 148 ft there, set a return", "type 148 ft: "),
        (200, None, "ask for 148 ft there, set a return", "type 148 ft: "),
    ],
)
def test_finding_and_request_sheet_say_one_height_to_ask_for(cell_ft, error_m, asked, typed):
    """45 m by hand; and what the readout may be off, as far as the automated service gives it."""
    readout = None if error_m is None else Readout(ReadoutSource.BAROMETER, error_m)
    craft = attrs.evolve(plan().aircraft, readout=readout)
    found = answer(
        LinkLossAction.RETURN_FIXED, volume(), cells=(cell(cell_ft),), height_m=45.0, aircraft=craft
    )
    (one,) = [one for one in found.findings if one.rule == "link-loss-above-asked"]
    assert one.remedy.startswith(asked)
    (request,) = requests_for(found)
    assert dict(request_text(request, found.plan).rows)["highest, above ground"].startswith(typed)


def test_a_return_no_higher_than_the_flight_says_nothing():
    found = answer(LinkLossAction.RETURN_FIXED, volume(), cells=(cell(200),), height_m=30.0)
    assert not [one for one in found.findings if one.rule.startswith("link-loss-above")]


def test_above_the_height_limit_it_stays_a_stop():
    """14 CFR 107.51(b): 400 ft (121.9 m) above the ground."""
    found = answer(LinkLossAction.RETURN_FIXED, volume(), cells=(cell(200),), height_m=125.0)
    marks = {one.rule: one.mark for one in found.findings if one.rule.startswith("link-loss-above")}
    assert marks["link-loss-above-ceiling"] is Mark.STOP


def test_once_the_permission_is_on_record_the_return_is_held_to_it():
    held = record("INVENTED D", 35.0)
    found = answer(
        LinkLossAction.RETURN_FIXED,
        volume(name="INVENTED D"),
        cells=(cell(200),),
        height_m=45.0,
        permissions=(held,),
    )
    marks = {one.rule: one.mark for one in found.findings if one.rule.startswith("link-loss-above")}
    assert marks == {"link-loss-above-ceiling": Mark.STOP}


def test_of_an_area_it_is_told_as_of_a_path():
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    found = answer(
        LinkLossAction.RETURN_FIXED, volume(), cells=(cell(200),), height_m=ft(200), path=(), area=drawn
    )
    (one,) = [one for one in found.findings if one.rule.startswith("link-loss-above")]
    assert (one.rule, one.mark) == ("link-loss-above-asked", Mark.ACT)
    assert "ask for 200 ft there" in one.remedy
