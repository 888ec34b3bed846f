"""Returns on lost link within what nobody knows of their height: under the ceiling, over a top.

The limit is 400 ft (121.92 m) over the ground: 14 CFR 107.51(b). The band is the terrain's error and the
readout's, added (our own rule, as for the path); the ground is level, and stated to be within the terrain's
error.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, plan, points, terrain, volume, world

LIMIT_M = 121.92
AWAY = {
    "path": points([(0, 0, 30.0), (300, 0, 30.0)]),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(300), LandStatus.OWN),
}


def judged(height_m, *airspace, readout_m=3.0, terrain_m=0.0, clear_by_m=None, **changes):
    aircraft = plan().aircraft
    craft = attrs.evolve(
        aircraft,
        link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(height_m), clear_by_m=clear_by_m),
        readout=attrs.evolve(aircraft.readout or Readout(ReadoutSource.BAROMETER), error_m=readout_m),
    )
    charts = world(airspace=airspace, terrain=terrain(vertical_uncertainty_m=terrain_m))
    return assess(plan(aircraft=craft, **{**AWAY, **changes}), charts)


def found(answer, rule="link-loss-within-band"):
    return [one for one in answer.findings if one.rule == rule]


@pytest.mark.parametrize(
    ("under_m", "readout_m", "terrain_m", "told"),
    [
        (2.9, 3.0, 0.0, True),
        (3.1, 3.0, 0.0, False),
        (3.1, 3.0, 10.0, True),
        (12.9, 3.0, 10.0, True),
        (13.1, 3.0, 10.0, False),
        (0.1, 0.0, 0.0, False),
    ],
)
def test_under_the_ceiling_by_less_than_the_band(under_m, readout_m, terrain_m, told):
    answer = judged(LIMIT_M - under_m, readout_m=readout_m, terrain_m=terrain_m)
    acts = found(answer)
    assert [one.mark for one in acts] == [Mark.ACT] * told
    assert not found(answer, "link-loss-above-ceiling")
    for one in acts:
        assert one.numbers["room_m"] == pytest.approx(under_m, abs=0.02)
        assert one.numbers["uncertainty_m"] == pytest.approx(readout_m + terrain_m)


def test_above_the_ceiling_it_is_a_stop_and_no_act_beside_it():
    answer = judged(LIMIT_M + 0.5)
    assert found(answer, "link-loss-above-ceiling")
    assert not found(answer)


def test_where_the_path_comes_as_close_that_alone_is_told():
    high = points([(0, 0, LIMIT_M - 2.0), (300, 0, LIMIT_M - 2.0)])
    answer = judged(LIMIT_M - 2.0, path=high)
    assert found(answer, "close-under-limit")
    assert not found(answer)
    assert found(judged(LIMIT_M - 1.0, path=high))


@pytest.mark.parametrize(("under_m", "told"), [(0.5, True), (2.9, True), (3.1, False)])
def test_under_the_floor_of_what_is_shut(under_m, told):
    shut = volume(AirspaceKind.RESTRICTED, name="R", floor=above_ground(60.0))
    assert bool(found(judged(60.0 - under_m, shut))) is told


@pytest.mark.parametrize(("over_m", "told"), [(0.5, True), (2.9, True), (3.1, False)])
@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D, AirspaceKind.ALERT])
def test_over_the_top_of_what_is_shut_or_asks(kind, over_m, told):
    """The path goes round it; the straight way home from its end leads over it."""
    low = volume(kind, box(100, -50, 200, 50), name="R", top=above_ground(40.0))
    round_it = points([(0, 0, 30.0), (150, 200, 30.0), (300, 0, 30.0)])
    acts = found(judged(40.0 + over_m, low, path=round_it))
    shut = kind is not AirspaceKind.ALERT
    assert [one.title for one in acts] == ["On lost link close over R"] * (told and shut)
    for one in acts:
        assert one.numbers["over_top_m"] == pytest.approx(over_m, abs=0.02)


def test_from_an_area_as_from_a_path():
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    spots = {"launch": GroundSpot(at(), LandStatus.OWN), "landing": GroundSpot(at(), LandStatus.OWN)}
    assert found(judged(LIMIT_M - 1.0, path=(), area=drawn, **spots))
    assert not found(judged(LIMIT_M - 4.0, path=(), area=drawn, **spots))
    top = area(box(-50, -50, 50, 50), AboveGround(LIMIT_M - 1.0))
    assert not found(judged(LIMIT_M - 1.0, path=(), area=top, **spots))


@pytest.mark.parametrize(
    ("clear_by_m", "terrain_m", "told"),
    [
        # 4 m up: within 3 m of the readout and 2 m of the terrain, beyond 3 m alone.
        (1.0, 2.0, "act"),
        (0.0, 2.0, "act"),
        (1.0, 0.0, None),
        # Without an own clearance the usual one is wanted, and that is a stop.
        (None, 2.0, "stop"),
        (4.5, 2.0, "stop"),
    ],
)
def test_an_own_clearance_that_is_less_than_the_errors(clear_by_m, terrain_m, told):
    low = {**AWAY, "path": points([(0, 0, 4.0), (300, 0, 4.0)]), "landing": GroundSpot(at(0), LandStatus.OWN)}
    answer = judged(4.0, terrain_m=terrain_m, clear_by_m=clear_by_m, **low)
    acts = [one for one in found(answer) if one.title == "On lost link it returns close to the ground"]
    assert [one.mark for one in acts] == [Mark.ACT] * (told == "act")
    assert bool(found(answer, "link-loss-too-low")) == (told == "stop")
    for one in acts:
        assert one.numbers["room_m"] == pytest.approx(4.0, abs=0.05)
        # 4 m are 13.1 ft.
        assert "passes 13 ft over the ground" in one.message
