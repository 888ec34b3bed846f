"""Lowering a flying area's top: 400 ft by 14 CFR 107.51(b), check_values 1.1, standing B."""

import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.remedy.lower_area import lower_area
from planner.remedy.remedy import NoRemedy
from planner.rules.finding import Mark
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, area, box, plan, slope, terrain, volume, world

SQUARE = box(-300, -300, 300, 300)


def intended(top):
    return plan(path=(), area=area(SQUARE, top))


def test_a_top_above_ground_goes_to_400_ft_less_the_margin():
    before = intended(AboveGround(150.0))
    remedy = lower_area(assess(before, world()), 5.0)
    top = remedy.edit.apply(before).area.top
    assert isinstance(top, AboveGround)
    assert 400 * FOOT_M - 5.1 <= top.m <= 400 * FOOT_M - 5.0
    assert remedy.before.least_room_m == pytest.approx(400 * FOOT_M - 150.0, abs=0.01)
    assert remedy.after.least_room_m >= 5.0 - 1e-6


def test_a_level_top_over_a_slope_goes_under_the_lowest_limit():
    charts = world(terrain=terrain(slope(0.1), cell_m=10))
    before = intended(AboveSeaLevel(GROUND_M + 100.0))
    answer = assess(before, charts)
    assert "area-above-limit" in {f.rule for f in answer.findings if f.mark is Mark.STOP}
    after = assess(lower_area(answer, 5.0).edit.apply(before), charts)
    assert "area-above-limit" not in {finding.rule for finding in after.findings}
    # The lowest ground lies 300 m west, 30 m down; the raster's axes are turned by 1.7 degrees,
    # which makes one corner of the square another 0.9 m lower.
    assert after.plan.area.top.m == pytest.approx(GROUND_M - 30.0 + 400 * FOOT_M - 5.0, abs=1.1)


def test_reasons_why_not():
    assert "no flying area" in lower_area(assess(plan(), world()), 5.0).reason
    assert "already" in lower_area(assess(intended(AboveGround(50.0)), world()), 5.0).reason
    assert "not known" in lower_area(assess(intended(AboveGround(150.0)), world(terrain=None)), 5.0).reason
    steep = world(terrain=terrain(slope(0.9), cell_m=10))
    refused = lower_area(assess(intended(AboveSeaLevel(GROUND_M + 400.0)), steep), 5.0)
    # Half of the square stays above the new top; some of it does not, so there is a remedy.
    assert not isinstance(refused, NoRemedy)


@pytest.mark.parametrize("ring", [box(-50, -50, 50, 50), box(-500, -500, 500, 500)])
def test_airspace_whose_answer_is_not_on_record_is_no_reason_not_to_lower_it(ring):
    """Whether an E4 extension may be entered only the authority can say; the height limit is known."""
    charts = world(airspace=(volume(AirspaceKind.CLASS_E4, outline=ring),))
    before = intended(AboveGround(150.0))
    answer = assess(before, charts)
    assert answer.area.lowest_limit_agl_m is None
    remedy = lower_area(answer, 5.0)
    assert 400 * FOOT_M - 5.1 <= remedy.edit.apply(before).area.top.m <= 400 * FOOT_M - 5.0
