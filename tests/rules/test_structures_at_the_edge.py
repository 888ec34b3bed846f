"""Structures in the way at the edges of what a record says; rules of thumb are own choices of the program.

The path runs one kilometre west to east, 30 m (98.4 ft) above level ground; the aircraft is 35 cm across.
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.rules.finding import Mark
from tests import worlds
from tests.worlds import GROUND_M, ft, hover, plan, points, tower, world

RULES = {"structure-in-the-way", "structure-close", "structure-of-unknown-height"}


def told(*structures, ground=None, **changes):
    charts = world(structures=structures, **({} if ground is None else {"terrain": ground}))
    answer = assess_live(plan(**{"launch": None, "landing": None, **changes}), charts)
    return [each for each in answer.findings if each.rule in RULES]


def marks(*structures, **changes):
    return [each.mark for each in told(*structures, **changes)]


@pytest.mark.parametrize(("north_m", "expected"), [(38.1, [Mark.ACT]), (38.3, [])])
def test_a_record_without_accuracy_may_be_30_m_off(north_m, expected):
    """1 m for the structure, 17.5 cm for the aircraft, 30 m by rule of thumb: 31.175 m.

    And 7 m that no aircraft keeps its place nearer than (check value 8.4: satellites 3, holding 3, map 1).
    """
    found = told(tower(402, (0.0, north_m), horizontal_error_m=None))
    assert [each.mark for each in found] == expected
    assert all("99 ft off (assumed" in each.message for each in found)


@pytest.mark.parametrize(
    ("top_m", "error_m", "expected"),
    [
        (30.0, 0.0, [Mark.STOP]),  # at its very top
        (29.99, 0.0, []),
        (25.0, 5.0, [Mark.ACT]),
        (24.99, 5.0, []),
        (0.5, None, [Mark.ACT]),  # 30 m by rule of thumb
        (-0.5, None, []),
    ],
)
def test_over_a_structure_its_vertical_error_decides(top_m, error_m, expected):
    mast = tower(10, top_amsl_m=GROUND_M + top_m, vertical_error_m=error_m)
    flat = points([(-500, 0, AboveGround(30.0)), (500, 0, AboveGround(30.0))])
    assert marks(mast, path=flat) == expected


@pytest.mark.parametrize(("height_ft", "expected"), [(120, [Mark.STOP]), (80, [])])
def test_a_height_above_ground_does_where_the_top_is_not_given(height_ft, expected):
    assert marks(tower(height_ft, top_amsl_m=None)) == expected


def test_a_height_above_ground_says_nothing_over_ground_that_is_not_known():
    ground = worlds.terrain(lambda east_m, _: np.where(east_m > 250.0, np.nan, GROUND_M))
    path = points([(-500, 0, 30.0), (200, 0, 30.0), (400, 0, 30.0)])
    assert marks(tower(80, (300.0, 0.0), top_amsl_m=None), path=path, ground=ground) == [Mark.UNKNOWN]


def test_a_planned_height_that_is_not_known_is_never_above_a_top():
    ground = worlds.terrain(lambda east_m, _: np.where(east_m > 250.0, np.nan, GROUND_M))
    path = points([(-500, 0, 30.0), (200, 0, 30.0), (400, 0, 30.0)])
    assert marks(tower(10, (300.0, 0.0)), path=path, ground=ground) == [Mark.STOP]


def test_what_the_path_meets_is_not_called_close_as_well():
    (found,) = told(tower(402, (-100.0, 0.5), horizontal_error_m=20.0))
    assert found.mark is Mark.STOP
    assert found.numbers["aside_m"] == pytest.approx(0.5, abs=0.01)
    assert found.from_m <= 400.0 <= found.to_m


@pytest.mark.parametrize(
    ("error_m", "expected"), [(3.0, [Mark.UNKNOWN]), (1.5, [Mark.ACT]), (None, [Mark.UNKNOWN])]
)
def test_a_structure_of_unknown_height_counts_within_its_error(error_m, expected):
    mast = tower(402, (0.0, 3.0), top_amsl_m=None, height_agl_m=None, horizontal_error_m=error_m)
    assert marks(mast) == expected


def test_a_hover_beside_a_mast_is_as_near_as_it_is():
    (found,) = told(tower(402, (0.0, -20.0), horizontal_error_m=25.0), path=hover(30.0))
    assert found.numbers["aside_m"] == pytest.approx(20.0, abs=0.01)
    assert "passes 65 ft beside it" in found.message


@pytest.mark.parametrize(("count", "more"), [(3, ""), (4, " and 1 more")])
def test_an_area_names_three_structures_and_counts_the_others(count, more):
    masts = [tower(100 * (k + 1), (20.0 * k, 0.0)) for k in range(count)]
    box = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(ft(100)))
    flight = plan(path=(), area=box, launch=None, landing=None)
    (found,) = [
        each
        for each in assess_live(flight, world(structures=tuple(reversed(masts)))).findings
        if each.rule == "structures-in-area"
    ]
    assert f"may be off, are TOWER of 100 ft, TOWER of 200 ft, TOWER of 300 ft{more}. Wires" in found.message
