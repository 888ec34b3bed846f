"""Requests drawn at random, each granted exactly as its sheet says: ready, or it was told before why not.

A property by a second way: records are judged by the rules, which know nothing of requests. That a permission
holds within its outline and up to its height over the ground: 14 CFR 107.41 (check values 1, A).
`LOWLINE_EXAMPLES` draws a fiftieth of so many.
"""

import os
from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import typed_agl_m
from planner.geo.heights import AboveGround, AboveLaunch
from planner.permission.need import Route
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import SURFACE, AirspaceKind
from tests.worlds import (
    WINDOW,
    above_ground,
    area,
    at,
    box,
    cell,
    plan,
    points,
    record,
    sea_level,
    terrain,
    volume,
    world,
)

_ASKED = max(int(os.environ.get("LOWLINE_EXAMPLES") or 0) // 50, 12)
_MOST_DRAWS = 12
"""So many are drawn for one that asks for something and has not to change before."""
KINDS = (
    (AirspaceKind.CLASS_D,),
    (AirspaceKind.CLASS_E2,),
    (AirspaceKind.CLASS_E4,),
    (AirspaceKind.RESTRICTED,),
    (AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4),
    (AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED),
    (AirspaceKind.CLASS_C, AirspaceKind.CLASS_D),
)
FAST = Performance(
    hover_w=180.0, cruise_w=200.0, cruise_mps=12.0, highest_mps=18.0, climb_mps=6.0, descent_mps=5.0
)


class Draw:
    """Numbers and choices from one seed."""

    def __init__(self, seed):
        self.rng = np.random.default_rng(seed)

    def number(self, low, high):
        return float(self.rng.uniform(low, high))

    def one_of(self, *choices):
        return choices[int(self.rng.integers(len(choices)))]

    def square(self, least_m, most_m, within_m):
        (east, north), (wide, high) = (
            self.rng.uniform(-within_m, within_m, 2),
            self.rng.uniform(least_m, most_m, 2),
        )
        return box(east - wide, north - high, east + wide, north + high)

    def spot(self):
        return GroundSpot(at(*self.rng.uniform(-300, 300, 2)), LandStatus.OWN)

    def world(self):
        east, north = self.rng.uniform(-0.3, 0.3, 2)
        rough = self.rng.normal(0.0, 1.0, (201, 201)) * self.one_of(0.0, 4.0)
        volumes = [
            volume(
                kind,
                self.one_of(None, self.square(100, 600, 500)),
                SURFACE
                if kind is AirspaceKind.CLASS_E4
                else self.one_of(SURFACE, SURFACE, above_ground(20.0), sea_level(430.0)),
                self.one_of(sea_level(3_000.0), above_ground(400.0)),
                name=f"V{number}",
            )
            for number, kind in enumerate(self.one_of(*KINDS))
        ]
        edge, values = self.number(-400, 400), (self.one_of(0, 50, 100, 200, 400), self.one_of(100, 400))
        halves = (box(-5_000, -5_000, edge, 5_000), box(edge, -5_000, 5_000, 5_000))
        cells = tuple(cell(value, half, key=str(half)) for value, half in zip(values, halves, strict=True))
        return world(
            terrain=terrain(
                lambda e, n: 400.0 + east * e + north * n + rough,
                horizontal_uncertainty_m=self.one_of(0.0, 5.0),
                vertical_uncertainty_m=self.one_of(0.0, 1.0),
            ),
            airspace=tuple(volumes),
            cells=self.one_of((), (cell(400),), cells),
        )

    def flight(self):
        launch, action = self.spot(), self.one_of(*LinkLossAction)
        height = {
            LinkLossAction.RETURN_FIXED: AboveLaunch(self.number(60, 100)),
            LinkLossAction.RETURN_OFFSET: AboveLaunch(self.number(0, 20)),
        }
        drawn = {
            "path": points(
                [
                    (*self.rng.uniform(-400, 400, 2), self.number(25, 70))
                    for _ in range(int(self.rng.integers(2, 5)))
                ],
                self.one_of(*LegShape),
            )
        }
        if self.number(0, 1) < 0.4:
            drawn = {"path": (), "area": area(self.square(60, 250, 300), AboveGround(self.number(25, 70)))}
        flight = plan(
            self.one_of(Purpose.PART_107, Purpose.RECREATIONAL), launch=launch, landing=launch, **drawn
        )
        craft = attrs.evolve(
            flight.aircraft,
            link_loss=LinkLoss(action, self.one_of(0.5, 2.0, 4.0, 8.0), height.get(action)),
            readout=self.one_of(None, Readout(ReadoutSource.BAROMETER, 3.0)),
            performance=self.one_of(None, FAST),
        )
        return attrs.evolve(flight, aircraft=craft)


def asked_at_random(seed):
    """A flight that asks for something and has not to change: itself, its world, the answer and requests."""
    for number in range(_MOST_DRAWS):
        draw = Draw((seed, number))
        charts, flight = draw.world(), draw.flight()
        before = assess(flight, charts)
        asked = requests_for(before)
        if (
            asked
            and before.verdict is not Verdict.MUST_CHANGE
            and all(typed_agl_m(one) is not None for one in asked)
        ):
            return flight, charts, before, asked
    return None


def papers_of(asked):
    return tuple(
        record(
            one.need.airspace,
            typed_agl_m(one),
            PermissionKind.AGENCY if one.need.route is Route.AGENCY else PermissionKind.AUTHORIZATION,
            ring=one.area.ring,
            reference=f"INVENTED-{number}",
            valid_from_utc=WINDOW.start_utc - timedelta(hours=1),
            valid_to_utc=WINDOW.end_utc,
        )
        for number, one in enumerate(asked)
    )


@pytest.mark.parametrize("seed", range(_ASKED))
def test_who_is_granted_just_what_is_asked_for_is_ready_or_was_told_why_not(seed):
    drawn = asked_at_random(seed)
    if drawn is None:
        pytest.skip("nothing drawn asks for anything")
    flight, charts, before, asked = drawn
    after = assess(attrs.evolve(flight, permissions=papers_of(asked)), charts)
    told = {one.rule for one in before.findings}
    new = {one.rule for one in after.findings if one.mark in (Mark.STOP, Mark.UNKNOWN)} - told
    assert new == set()
    assert after.verdict in (Verdict.READY, Verdict.UNDETERMINED, before.verdict)
    assert all(need.recorded for need in after.permissions)
