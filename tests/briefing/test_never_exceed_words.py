"""Heights as the goggles show them, in words."""

from planner.assess import assess
from planner.briefing.never_exceed_words import (
    begun_words,
    figures_by_leg,
    goggles_words,
    leg_words,
)
from planner.ceiling.never_exceed import HeightUnit, NeverExceed, Standing, readout_unit
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource, ReadoutUnit
from planner.units import FOOT_M
from tests.worlds import level, plan, points, terrain, world


def piece(figure, to_m, standing=Standing.KNOWN):
    return NeverExceed(0, 0.0, to_m, figure, standing, 0.0)


def test_a_leg_of_several_figures_names_them_in_the_order_flown():
    figures = (piece(520, 460.0), piece(330, 900.0))
    assert leg_words(figures, HeightUnit.FEET) == "520 ft to 460 m, 330 ft"
    assert begun_words(figures, HeightUnit.FEET) == "↓ 520 ft"
    assert begun_words(figures[::-1], HeightUnit.FEET) == "330 ft"


def test_what_has_no_figure_says_why_once_and_is_never_covered_up():
    nothing = (piece(None, 200.0, Standing.NOT_ALLOWED), piece(None, 300.0, Standing.NOT_ALLOWED))
    assert leg_words(nothing, HeightUnit.FEET) == "nothing allowed"
    assert begun_words((piece(520, 100.0), *nothing), HeightUnit.FEET) == "none"
    unknown = (piece(520, 100.0), piece(None, 300.0, Standing.GROUND_UNKNOWN))
    assert begun_words(unknown, HeightUnit.FEET) == "?"
    assert leg_words(unknown, HeightUnit.FEET) == "520 ft to 100 m, no ground"


def test_the_pilots_own_unit_is_used_and_figures_are_rounded_down():
    """400 ft less an error of 3 m over level ground: 121.92 - 3 = 118.92 m, so 118 m (14 CFR 107.51(b))."""
    readout = Readout(ReadoutSource.BAROMETER, 3.0, ReadoutUnit.METRES)
    charts = world(terrain=terrain(level(), cell_m=10, cells=301))
    made = plan(
        path=points([(-500, 0, 30.4), (500, 0, 30.4)]), aircraft=Aircraft("quad", 0.9, 0.3, readout=readout)
    )
    answer = assess(made, charts)
    assert readout_unit(made) is HeightUnit.METRES
    assert goggles_words(answer) == ("30 m", "30 m")
    (figures,) = figures_by_leg(answer)
    assert leg_words(figures, HeightUnit.METRES) == "118 m"
    assert 118 < 400 * FOOT_M - 3.0 < 119
