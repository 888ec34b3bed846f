"""Planned higher than the figure never to exceed: told, as no pilot can fly it and keep to the figure.

Limit: 14 CFR 107.51(b), 400 ft (check_values 1.1, standing B); the readout's error comes off it (design of
the program). Figures worked by hand, 1 ft = 0.3048 m.
"""

import attrs
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from planner.assess import assess
from planner.briefing.points_table import points_table
from planner.ceiling.never_exceed import never_exceed, readout_unit, units_over
from planner.desk.profile.soft_stop import ceiling_at, stop_height_m, words_beside
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource, ReadoutUnit
from planner.plan.geometry import Leg, LegShape
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests.worlds import GROUND_M, ft, plan, points, slope, terrain, world

RULE = "planned-over-never-exceed"


def craft(error_m=3.0, unit=ReadoutUnit.FEET):
    return Aircraft("quad", 0.9, 0.3, readout=Readout(ReadoutSource.BAROMETER, error_m, unit))


def judged(path, relief=None, **changes):
    charts = world() if relief is None else world(terrain=terrain(relief, cell_m=10, cells=301))
    return assess(plan(path=path, **{"aircraft": craft(), **changes}), charts)


def told(answer):
    return [each for each in answer.findings if each.rule == RULE]


def level_at(height_ft):
    return points([(-500, 0, ft(height_ft)), (500, 0, ft(height_ft))])


@pytest.mark.parametrize(("height_ft", "over_ft"), [(390, 0), (390.4, 0), (391, 1), (399, 9)])
def test_over_level_ground_the_figure_is_the_limit_less_the_error(height_ft, over_ft):
    """400 ft less 3 m (9.84 ft) is 390.16 ft: 390, as the readout can show no part of a foot."""
    found = told(judged(level_at(height_ft)))
    assert [round(ft(1) ** -1 * each.numbers["over_m"]) for each in found] == [over_ft] * bool(over_ft)
    if over_ft:
        (act,) = found
        assert act.mark is Mark.ACT
        assert f"would show {height_ft} ft" in act.message
        assert "are 390 ft" in act.message
        assert act.remedy.startswith(f"lower it there by {over_ft} ft")
        assert (act.from_m, act.to_m) == (0.0, pytest.approx(1_000, abs=2))


def test_in_the_readouts_own_unit():
    """121.92 m less 3 m is 118.92 m: 118 m. 119 m is 1 m over."""
    (act,) = told(
        judged(points([(-500, 0, 119.0), (500, 0, 119.0)]), aircraft=craft(3.0, ReadoutUnit.METRES))
    )
    assert "would show 119 m" in act.message
    assert "are 118 m" in act.message


def test_a_lawful_leg_down_a_slope_says_that_its_figure_lies_under_its_beginning():
    """The ground falls 0.06 m a metre: 60 m, 197 ft, over the kilometre.

    A piece ends where the ceiling has changed by 100 ft (30.48 m), and its figure rests on its lower end:
    121.92 - 3 - 30.48 = 88 m above the ground at its upper end. So 30 m above the ground keeps to it, and
    100 m, lawful all the way, does not.
    """
    along_ground = Leg(LegShape.FOLLOW_GROUND)

    def sloping(height_m):
        path = tuple(
            attrs.evolve(one, leg=along_ground)
            for one in points([(-500, 0, AboveGround(height_m)), (500, 0, AboveGround(height_m))])
        )
        return judged(path, slope(-0.06))

    assert not told(sloping(30.0))
    high = sloping(100.0)
    assert not [
        each for each in high.findings if each.mark is Mark.STOP and each.rule == "above-height-limit"
    ]
    assert told(high)
    rows = points_table(high)
    assert rows[0].never.endswith("planned above it")
    more = judged(
        tuple(
            attrs.evolve(one, leg=along_ground)
            for one in points([(east, 0, AboveGround(100.0)) for east in range(-500, 501, 100)])
        ),
        slope(-0.06),
    )
    assert not told(more)  # one more point gives each part a figure of its own: 6 m of fall a leg
    assert not any("planned above" in row.never for row in points_table(more))


def test_a_hillside_followed_along_its_ground_is_one_act():
    """0.6 m a metre over 600 m: 360 m of fall, a new figure every 100 m along the leg (own choices)."""
    along_ground = Leg(LegShape.FOLLOW_GROUND)
    hillside = tuple(attrs.evolve(one, leg=along_ground) for one in points([(-300, 0, 80.0), (300, 0, 80.0)]))
    (act,) = told(judged(hillside, slope(0.6)))
    assert "stretches of the leg" in act.message
    assert act.to_m - act.from_m > 400.0


def test_without_an_error_there_is_no_figure_and_over_the_ceiling_the_stop_is_enough():
    bare = Aircraft("quad", 0.9, 0.3, readout=Readout(ReadoutSource.BAROMETER))
    assert not told(judged(level_at(399), aircraft=bare))
    over = judged(level_at(410))
    assert over.verdict is Verdict.MUST_CHANGE
    assert not told(over)


@example(error_m=1e-4, rise=0.0, kind=AboveGround, unit=ReadoutUnit.FEET)
@given(
    error_m=st.floats(0.0, 20.0),
    rise=st.floats(-0.2, 0.2),
    kind=st.sampled_from([AboveGround, AboveLaunch, AboveSeaLevel]),
    unit=st.sampled_from(ReadoutUnit),
)
def test_dropped_at_the_soft_stop_a_level_stretch_keeps_to_its_figure(error_m, rise, kind, unit):
    """Whatever the readout's error and unit, and of which kind the height."""
    base = GROUND_M if kind is AboveSeaLevel else 0.0
    at = [(-1, 0, kind(base + 20.0)), (0, 0, kind(base + 20.0))]
    start = judged(points(at), slope(rise), aircraft=craft(error_m, unit))
    stop_m = stop_height_m(start, 0)
    assert stop_m <= ceiling_at(start, 0) - error_m + 1e-6
    assert "at the figure never to exceed" in words_beside(start, 0, stop_m) or error_m < 1e-6
    track = start.track
    lifted = attrs.evolve(track, planned_amsl_m=track.planned_amsl_m * 0 + stop_m)
    here = units_over(
        lifted,
        never_exceed(lifted, start.profile, error_m, readout_unit(start.plan)),
        readout_unit(start.plan),
    )
    assert here.max() <= 0
