"""Close over the top of an airspace: heights by hand; that a doubt of height is told is common practice."""

from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.place import Place
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.rules import over_top
from planner.rules.finding import Mark
from planner.rules.stretches import place_at
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import (
    GROUND_M,
    WINDOW,
    above_ground,
    at,
    box,
    plan,
    record,
    sea_level,
    slope,
    terrain,
    volume,
)

OF_5_M = terrain(vertical_uncertainty_m=5.0)
READ_TO_3_M = Aircraft("5-inch quad", 0.62, 0.35, readout=Readout(ReadoutSource.BAROMETER, 3.0))
PLACE = box(200, -100, 400, 100)


def over(top, kind=AirspaceKind.RESTRICTED, ground=OF_5_M, **changes):
    """A path 30 m above ground, read to 3 m, over a volume with that top, 700 to 900 m along."""
    below = volume(kind, PLACE, top=top, name="INVENTED V")
    ends = {"launch": GroundSpot(at(-500), LandStatus.OWN), "landing": GroundSpot(at(500), LandStatus.OWN)}
    charts = worlds.world(terrain=ground, airspace=(below,))
    return assess(plan(aircraft=READ_TO_3_M, **ends, **changes), charts)


def acts(answer):
    return [one for one in answer.findings if one.rule == "close-over-airspace"]


@pytest.mark.parametrize("counts_from", [above_ground, lambda top_m: sea_level(GROUND_M + top_m)])
@pytest.mark.parametrize(
    "kind",
    [AirspaceKind.RESTRICTED, AirspaceKind.PROHIBITED, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4],
)
@pytest.mark.parametrize(("top_m", "told"), [(29.9, True), (22.1, True), (21.9, False)])
def test_over_a_top_by_less_than_terrain_and_readout_may_be_off_is_told(counts_from, kind, top_m, told):
    answer = over(counts_from(top_m), kind)
    assert answer.verdict is Verdict.READY
    assert len(acts(answer)) == told
    for act in acts(answer):
        assert act.mark is Mark.ACT
        assert (act.from_m, act.to_m) == (pytest.approx(700.0, abs=1.0), pytest.approx(900.0, abs=1.0))
        assert act.numbers["over_top_m"] == pytest.approx(30.0 - top_m, abs=0.01)
        assert act.numbers["uncertainty_m"] == pytest.approx(8.0)


def test_what_is_entered_is_told_as_such_only():
    answer = over(above_ground(30.0))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert not acts(answer)


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_E_OTHER, AirspaceKind.ALERT, AirspaceKind.OTHER])
def test_over_what_asks_for_no_leave_nothing_is_said(kind):
    assert not acts(over(above_ground(29.9), kind))


# 0.2 m a metre over 20 m of horizontal error: the ground may be 4 m higher (2 % more at most).
@pytest.mark.parametrize(
    ("top_m", "room_m", "told"), [(20.0, 6.0, False), (24.0, 2.0, True), (28.0, -2.0, True)]
)
def test_a_top_above_ground_counts_from_the_highest_ground_within_the_horizontal_error(top_m, room_m, told):
    ground = terrain(slope(0.2), horizontal_uncertainty_m=20.0)
    answer = over(above_ground(top_m), ground=ground)
    assert len(acts(answer)) == told
    for act in acts(answer):
        assert act.numbers["over_top_m"] == pytest.approx(room_m, abs=0.15)
    assert ("if the terrain is shifted" in "".join(act.message for act in acts(answer))) is (room_m < 0)


def test_a_top_above_the_sea_is_as_high_wherever_the_ground_is():
    ground = attrs.evolve(OF_5_M, horizontal_uncertainty_m=50.0)
    (act,) = acts(over(sea_level(GROUND_M + 29.0), ground=ground))
    assert act.numbers["over_top_m"] == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("to_m", "told"), [(450, False), (300, True)])
def test_where_a_record_opens_it_nothing_is_said(to_m, told):
    ring = tuple(Place(*corner) for corner in box(150, -150, to_m, 150).exterior.coords[:-1])
    day = timedelta(days=1)
    held = record(
        "INVENTED V",
        100.0,
        PermissionKind.AGENCY,
        ring=ring,
        valid_from_utc=WINDOW.start_utc - day,
        valid_to_utc=WINDOW.end_utc + day,
    )
    assert bool(acts(over(above_ground(29.0), permissions=(held,)))) is told


# ---- rooms over the top put in by hand


CASE = over(above_ground(28.0)).case


def roomed(monkeypatch, rooms):
    """The rooms over the highest top that may be, sample by sample from the first inside on."""
    inside = CASE.track.inside_outline(next(iter(CASE.mapped.airspace)))
    first = int(np.argmax(inside))
    top_m = CASE.track.planned_amsl_m.copy() - 50.0
    top_m[first : first + len(rooms)] = CASE.track.planned_amsl_m[first : first + len(rooms)] - rooms
    monkeypatch.setattr(over_top, "_highest_top_m", lambda *_given: top_m)
    return first, list(over_top.close_over_airspace(CASE))


@pytest.mark.parametrize(
    ("rooms", "worst", "words"),
    [
        # 1 m is 3.3 ft, rounded down; 3 m are 9.8 ft, rounded up.
        ((4.0, 1.0), 1, "the path is 3 ft over its top"),
        ((0.0, 4.0), 0, "the path is 0 ft over its top"),
        ((0.5, 4.0), 0, "the path is 1 ft over its top"),
        ((4.0, -3.0), 1, "is over its top, and 10 ft under it if the terrain is shifted by its own error"),
    ],
)
def test_the_least_room_over_its_top_is_told_where_it_is(rooms, worst, words, monkeypatch):
    first, (one,) = roomed(monkeypatch, rooms)
    assert one.numbers["over_top_m"] == pytest.approx(rooms[worst])
    assert one.place == place_at(CASE.track, first + worst)
    assert words in one.message


def test_without_path_ceiling_or_charts_nothing_is_close():
    assert list(over_top.close_over_airspace(CASE))
    for left_out in ("track", "profile", "mapped"):
        assert not list(over_top.close_over_airspace(attrs.evolve(CASE, **{left_out: None})))
    groundless = attrs.evolve(CASE, mapped=attrs.evolve(CASE.mapped, ground=None))
    assert list(over_top.close_over_airspace(groundless))


@pytest.mark.parametrize(("allowed_m", "told"), [(20.0, True), (29.8, True), (29.9, False), (40.0, False)])
@pytest.mark.parametrize(
    ("kind", "paper"),
    [
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
        (AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION),
        (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION),
    ],
)
def test_a_record_that_ends_beneath_the_top_leaves_it_to_be_missed(allowed_m, told, kind, paper):
    """Between the record's height and the top the airspace stays closed (14 CFR 91.133, 107.41)."""
    answer = over(above_ground(29.9), kind, permissions=(record("INVENTED V", allowed_m, paper),))
    assert len(acts(answer)) == told
