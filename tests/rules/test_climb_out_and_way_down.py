"""A return along one's own climb-out, and a way down to the landing point that is flown too fast to land at.

Sources: a climb of 12 m along 60 m is 1 in 5 (geometry, by hand), as hand-launched wings climb (common
practice); a return at the highest height flown so far is never lower than the flight was where it has been.
What is owed there, and that who lands slows down before, are our own rules.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Basis, Mark
from tests.worlds import GROUND_M, at, plan, points, terrain, world

OUT = "On lost link it comes home as low as it climbs out"
DOWN = "On lost link it touches down with way on"
HIGHEST = LinkLoss(LinkLossAction.RETURN_HIGHEST, 2.0)
FIXED = LinkLoss(LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(60.0))
WING = AircraftForm.FIXED_WING


def judged(stops, speed_mps, loss, *, form=AircraftForm.ROTORCRAFT, relief=None, launch=(0, 0)):
    craft = attrs.evolve(plan().aircraft, form=form, link_loss=loss)
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps))
        for one in points(stops, LegShape.STRAIGHT)
    )
    spot = GroundSpot(at(*launch), LandStatus.OWN)
    given = {"relief": relief} if relief else {}
    ground = terrain(*given.values(), vertical_uncertainty_m=0.0)
    return assess(plan(aircraft=craft, path=path, launch=spot, landing=spot), world(terrain=ground))


def told(answer, title):
    return [one for one in answer.findings if one.title == title]


def too_low(answer):
    return [one for one in answer.findings if one.rule == "link-loss-too-low"]


def climbing(first, *then):
    """1 in 5 from 20 m out at 3 m up, or from elsewhere, to 60 m, then as said, high above all else."""
    return [first, (first[0] + 5 * (60.0 - first[2]), 0, 60.0), *then]


BACK = [(900, 0, 60.0), (900, 200, 60.0)]


@pytest.mark.parametrize("first", [(40, 0, 5.0), (20, 0, 3.0), (5, 0, 1.5)])
@pytest.mark.parametrize("own_m", [None, 5.0, 10.0, 12.0, 20.0])
def test_a_wing_returns_along_its_climb_out_as_low_as_it_climbed(first, own_m):
    """What nobody stated it need not clear by there; an own limit is one there, too."""
    loss = attrs.evolve(HIGHEST, clear_by_m=own_m)
    answer = judged(climbing(first, *BACK), 16.0, loss, form=WING)
    # Lost at the first point it flies on for 2 s at 16 m/s along the slope: 6.3 m higher (32 / sqrt(26)).
    wanted_m = 10.0 if own_m is None else own_m
    least_m = max(first[2] + 32.0 / np.sqrt(26.0), first[2] + (2 * wanted_m - first[0]) / 5)
    told_of = told(answer, OUT) if own_m is None else too_low(answer)
    assert len(told(answer, OUT) + too_low(answer)) == (least_m < wanted_m)
    for found in told_of:
        # A return no longer than twice the margin owes nothing; samples are 10 m apart, 2 m in height.
        assert least_m - 0.1 < found.numbers["room_m" if own_m is None else "clearance_m"] < least_m + 2.1
        assert found.numbers["wanted_m"] == wanted_m
        assert found.mark is (Mark.ACT if own_m is None else Mark.STOP)
        assert (found.basis is Basis.OWN_LIMIT) is (own_m is not None)
        assert found.remedy.endswith("or set a return height" + (", or a smaller clearance" if own_m else ""))


@pytest.mark.parametrize(("along_m", "told_of"), [(1_500.0, False), (300.0, False), (150.0, True)])
def test_a_wing_that_hardly_climbs_does_not_climb_out(along_m, told_of):
    """From 2 m to 12 m along 1.5 km (1 in 150), 300 m (1 in 30), 150 m (1 in 15), then steeply away."""
    stops = [(5, 0, 2.0), (5 + along_m, 0, 12.0), (250 + along_m, 0, 60.0), (900 + along_m, 200, 60.0)]
    answer = judged(stops, 16.0, HIGHEST, form=WING)
    assert bool(told(answer, OUT)) is told_of
    assert bool(too_low(answer)) is not told_of


def test_what_is_wanted_is_said_alike_in_stop_and_act():
    """10 m are 32.8 ft: 33, wherever it is said."""
    (act,) = told(judged(climbing((20, 0, 3.0), *BACK), 16.0, HIGHEST, form=WING), OUT)
    (stop,) = too_low(judged([(0, 0, 1.0), (1_500, 0, 6.0)], 10.0, HIGHEST))
    assert "33 ft are wanted elsewhere" in act.message
    assert "33 ft are wanted." in stop.message


def test_high_enough_on_the_spot_it_owes_nothing_and_is_told_nothing():
    answer = judged([(2, 0, 1.0), (2, 0, 60.0), *BACK], 4.0, HIGHEST)
    assert not too_low(answer)
    assert not told(answer, OUT)


@pytest.mark.parametrize(
    "stops",
    [
        # Level at 4 m, over ground that it has passed as low: nobody climbs out there.
        [(20, 0, 3.0), (25, 0, 4.0), (300, 0, 4.0), (550, 0, 60.0), (900, 0, 60.0)],
        # A climb-out round two corners: the way home leads over other ground.
        [(20, 0, 2.0), (60, 0, 3.0), (60, 80, 5.0), (20, 80, 6.0), (20, 400, 60.0), (900, 0, 60.0)],
    ],
)
def test_over_other_ground_or_level_the_margin_is_owed(stops):
    (stop,) = too_low(judged(stops, 16.0, HIGHEST, form=WING))
    assert stop.mark is Mark.STOP
    assert "straight out from the launch point" in stop.remedy


def test_a_return_that_begins_elsewhere_than_it_took_off_owes_the_margin():
    """Its launch point lies 100 m beside the line: that is not the way on which it climbed."""
    answer = judged(climbing((20, 0, 3.0), *BACK), 16.0, HIGHEST, form=WING, launch=(60, 100))
    assert too_low(answer)


def test_a_launch_down_a_slope_owes_no_more():
    """The ground falls 1 in 10: 12 m above it are 6 m over the launch point, as high as it ever was there."""
    falls = [(20, 0, 4.0), (200, 0, 40.0), (900, 0, 90.0)]
    answer = judged(falls, 16.0, HIGHEST, form=WING, relief=lambda x, y: GROUND_M - 0.1 * np.maximum(x, 0.0))
    assert not too_low(answer)


def test_a_return_whose_height_can_be_set_owes_it():
    """Its remedy can be followed: more of an offset."""
    loss = LinkLoss(LinkLossAction.RETURN_OFFSET, 2.0, AboveLaunch(0.0))
    (stop,) = too_low(judged(climbing((20, 0, 3.0), *BACK), 16.0, loss, form=WING))
    assert stop.remedy == "raise the return height"


# ---- the way down

SLOPING = [(2, 0, 1.0), (2, 0, 40.0), (200, 20, 40.0), (2, 0, 2.0)]


@pytest.mark.parametrize(
    "loss", [FIXED, LinkLoss(LinkLossAction.LAND, 1.5), LinkLoss(LinkLossAction.HOLD, 1.5)]
)
@pytest.mark.parametrize("speed_mps", [8.0, 12.0, 15.0])
def test_a_sloping_way_down_to_the_landing_point_is_told(loss, speed_mps):
    """40 m down to 2 m along 199 m sinks 1.5 m/s at 8, 2.8 at 15: 2 m up it is down within 1.3 s."""
    answer = judged(SLOPING, speed_mps, loss)
    assert not too_low(answer)
    (act,) = told(answer, DOWN)
    assert (act.rule, act.mark) == ("link-loss-within-band", Mark.ACT)
    assert act.numbers["speed_mps"] == pytest.approx(speed_mps, rel=0.02)
    assert "12 kt over the ground or less" in act.remedy


def test_what_helps_helps():
    """At 6 m/s it touches 10.4 m beyond its end: with 0.5 s of delay it is a landing, and nothing is told."""
    slow = judged(SLOPING, 6.0, attrs.evolve(FIXED, delay_s=0.5))
    assert not too_low(slow)
    assert not told(slow, DOWN)


def test_a_drop_falls_there_anyway():
    assert not told(judged(SLOPING, 8.0, LinkLoss(LinkLossAction.DROP, 1.5)), DOWN)


@pytest.mark.parametrize(
    ("stops", "launch"),
    [
        # It does not end where it lands, goes on from there, or sinks 4.9 m/s.
        (SLOPING, (60, 60)),
        ([*SLOPING, (-200, 0, 30.0)], (0, 0)),
        ([(2, 0, 1.0), (2, 0, 40.0), (60, 20, 40.0), (2, 0, 2.0)], (0, 0)),
    ],
)
def test_what_is_no_way_down_to_a_landing_strikes_the_ground(stops, launch):
    (stop,) = too_low(judged(stops, 8.0, FIXED, launch=launch))
    assert stop.mark is Mark.STOP


def test_before_the_last_turn_it_flies_on_somewhere_else():
    """20 m before its end it turns: straight on for 6 s at 8 m/s it is down 44 m from there."""
    stops = [(0, 0, 1.0), (0, 0, 60.0), (200, 0, 40.0), (0, -20, 6.0), (0, 0, 2.0)]
    (stop,) = too_low(judged(stops, 8.0, attrs.evolve(FIXED, delay_s=6.0)))
    assert stop.mark is Mark.STOP


@pytest.mark.parametrize("loss", [FIXED, LinkLoss(LinkLossAction.LAND, 2.5)])
@pytest.mark.parametrize("speed_mps", [15.0, 25.0])
def test_rock_beyond_the_landing_point_is_none_to_touch_down_on(loss, speed_mps):
    """The last leg ends 30 m over a landing point that lies 20 m before a wall of 80 m."""

    def rock(east, _north):
        return GROUND_M + np.where(east > 20.0, 80.0, 0.0)

    stops = [(5, 0, 2.0), (5, 0, 60.0), (-300, 0, 60.0), (5, 0, 30.0)]
    late = attrs.evolve(loss, delay_s=2.5)
    (stop,) = too_low(judged(stops, speed_mps, late, relief=rock))
    assert stop.mark is Mark.STOP
    assert not told(judged(stops, speed_mps, late, relief=rock), DOWN)
    assert not too_low(judged(stops, speed_mps, late))


def test_a_wing_that_lands_where_it_took_off_circles_at_home_as_high_as_it_returns():
    """From 19 m down to 3 m over the landing point at 16 m/s; what has landed circles nowhere."""
    stops = [(20, 0, 3.0), (305, 0, 60.0), (305, 200, 60.0), (-150, 0, 60.0), (-150, 0, 19.0), (-20, 0, 3.0)]
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, 2.0, AboveLaunch(90.0), speed_mps=16.0)
    answer = judged(stops, 16.0, loss, form=WING)
    assert answer.case.flight.loss.landed.any()
    assert "link-loss-circles" not in {one.rule for one in answer.findings}


def test_what_climbs_on_the_spot_owes_the_margin_on_its_climb_out():
    """It rises 1 m to 6 m along 1.5 km, and could climb first: nobody lets it fly home a metre up."""
    (stop,) = too_low(judged([(0, 0, 1.0), (1_500, 0, 6.0)], 10.0, HIGHEST))
    assert stop.mark is Mark.STOP


@pytest.mark.parametrize("delay_s", [2.0, 3.0])
@pytest.mark.parametrize(("out_m", "end_m"), [(20.0, 0.5), (40.0, 1.0), (60.0, 1.0)])
def test_a_wing_flares_in_a_last_leg_of_its_own(delay_s, out_m, end_m):
    """12 m up 150 m out down to 2 m, then to the ground: one way down, sinking 1.2 m/s at 14 m/s."""
    stops = [(20, 0, 3.0), (305, 0, 60.0), (305, 200, 60.0), (-700, 0, 60.0), (-150, 0, 12.0)]
    stops += [(-out_m, 0, 2.0), (0, 0, end_m)]
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, delay_s, AboveLaunch(90.0), speed_mps=16.0)
    assert not too_low(judged(stops, 14.0, loss, form=WING))


@pytest.mark.parametrize("speed_mps", [None, 7.0, 12.0])
def test_an_approach_that_ends_in_a_slow_leg_is_one_way_down(speed_mps):
    stops = [(2, 0, 1.0), (2, 0, 20.0), (100, 0, 20.0), (8, 0, 3.0), (0, 0, 2.0)]
    assert all(one.mark is Mark.ACT for one in too_low(judged(stops, speed_mps, FIXED)))
