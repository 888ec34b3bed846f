"""Who is granted just what the request sheet asks for may fly: home on lost link and to the spots, too.

That a permission holds within its outline and up to its height: 14 CFR 107.41 (check values 1, A). What has
to be asked for is our own reckoning: the record is put in as the sheet has it, and the plan judged again.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.rules.flown_besides import flown_besides
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import WINDOW, area, at, box, cell, plan, points, record, volume, world

CHARTS = world(airspace=(volume(AirspaceKind.CLASS_D, name="D"),), cells=(cell(400),))
ROUND = points([(0, 0, 30.0), (400, 0, 30.0), (400, 400, 30.0)])


def spot(east_m=0.0, north_m=0.0):
    return GroundSpot(at(east_m, north_m), LandStatus.OWN)


def intended(action, height_m=None, delay_s=1.0, **changes):
    given = {"path": ROUND, "launch": spot(), "landing": spot(), **changes}
    flight = plan(**given)
    loss = LinkLoss(action, delay_s, None if height_m is None else AboveLaunch(height_m))
    readout = Readout(ReadoutSource.BAROMETER, 3.0)
    return attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss, readout=readout))


def granted(flight, charts=CHARTS):
    """What is said before, what is asked for, and what is said with just that on record."""
    before = assess(flight, charts)
    (request,) = requests_for(before)
    paper = record(
        request.need.airspace,
        request.may_reach_agl_m,
        ring=request.area.ring,
        valid_from_utc=WINDOW.start_utc,
        valid_to_utc=WINDOW.end_utc,
    )
    return before, request, assess(attrs.evolve(flight, permissions=(paper,)), charts)


def troubles(answer):
    return {one.rule for one in answer.findings if one.mark in (Mark.STOP, Mark.UNKNOWN)}


@pytest.mark.parametrize(
    ("flight", "rise_m"),
    [
        (intended(LinkLossAction.RETURN_FIXED, 30.0), 0.0),
        (intended(LinkLossAction.RETURN_FIXED, 45.0), 15.0),
        (intended(LinkLossAction.RETURN_FIXED, 30.0, return_point=at(-250, 300)), 0.0),
        (intended(LinkLossAction.LAND, delay_s=12.0), 0.0),
        (intended(LinkLossAction.DROP, delay_s=3.0), 0.0),
        (intended(LinkLossAction.LAND, launch=spot(-250, 200), landing=spot(600, 100)), 0.0),
        (
            intended(
                LinkLossAction.RETURN_FIXED,
                50.0,
                path=(),
                area=area(box(0, 0, 200, 200), AboveGround(30.0)),
                launch=spot(-300, 0),
                landing=spot(-300, 0),
            ),
            20.0,
        ),
    ],
)
def test_who_is_granted_what_is_asked_for_may_fly(flight, rise_m):
    before, request, after = granted(flight)
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)
    assert request.rise_m == pytest.approx(rise_m, abs=0.5)


@pytest.mark.parametrize("seed", range(6))
def test_whatever_the_path(seed):
    """A property, by a second way: the record is judged by the rules, which know nothing of requests."""
    draw = np.random.default_rng(seed)
    path = points([(*draw.uniform(-700, 700, 2), float(draw.uniform(20, 60))) for _ in range(5)])
    flight = intended(
        LinkLossAction.RETURN_FIXED if seed % 2 else LinkLossAction.LAND,
        float(draw.uniform(61, 80)) if seed % 2 else None,
        float(draw.uniform(0.5, 6.0)),
        path=path,
        launch=spot(*draw.uniform(-900, 900, 2)),
        landing=spot(*draw.uniform(-900, 900, 2)),
    )
    before, _, after = granted(flight)
    assert all(need.recorded for need in after.permissions)
    assert troubles(after) <= troubles(before)


def test_the_outline_asked_for_holds_the_ways_that_are_not_drawn():
    flight = intended(LinkLossAction.LAND)
    before = assess(flight, CHARTS)
    (request,) = requests_for(before)
    frame = before.scene.mapped.frame
    outline = shapely.Polygon([frame.place_to_xy(place) for place in request.area.ring])
    assert outline.covers(flown_besides(before.case).shape)


def test_the_sheet_says_what_is_asked_for_beside_what_is_drawn():
    _, request, _ = granted(intended(LinkLossAction.RETURN_FIXED, 45.0))
    text = request_text(request, plan())
    rows = dict(text.rows)
    # 30 m are 98.4 ft, 15 m 49.2 ft, 3 m 9.8 ft: together 157.5 ft, all rounded up.
    assert rows["highest, above ground"].startswith("type 158 ft: 99 ft planned over the lowest ground near")
    assert (
        ", on lost link up to 148 ft, 10 ft more as the readout may be off" in rows["highest, above ground"]
    )
    assert text.holds.endswith("and where it comes on lost link")
    none = plan(path=ROUND)
    (bare,) = requests_for(assess(none, CHARTS))
    assert "lost link" not in request_text(bare, none).holds


def test_nothing_known_is_nothing_beside():
    assert flown_besides(None).shape.is_empty
