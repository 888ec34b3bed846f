"""What is left of something charted where something is drawn: areas by hand; own choices as distances."""

import pytest
import shapely

from planner.world.drawn_over import DrawnOver

HOUSE = shapely.box(0, 0, 20, 10)


@pytest.mark.parametrize(
    ("drawn", "left_m2"),
    [
        ([], 200.0),
        ([shapely.box(50, 0, 60, 10)], 200.0),
        ([shapely.box(23.5, 0, 60, 10)], 200.0),
        # 3 m about what is drawn are its own, and nothing of what lies farther off.
        ([shapely.box(15, -20, 60, 30)], 120.0),
        ([shapely.box(-1, -1, 21, 11)], None),
    ],
)
def test_what_is_drawn_stands_for_what_is_charted_three_metres_about_it(drawn, left_m2):
    left = DrawnOver.of(drawn).left_of(HOUSE, [])
    assert (None if left is None else left.area) == (None if left_m2 is None else pytest.approx(left_m2))


@pytest.mark.parametrize(("west_m", "left_m2"), [(40.0, 100.0), (55.0, 200.0)])
def test_under_its_name_thirty_metres_about_it(west_m, left_m2):
    named = [shapely.box(west_m, -100, 80, 110)]
    left = DrawnOver.of(named).left_of(HOUSE, named)
    assert left.area == pytest.approx(left_m2)


def test_nothing_is_left_of_what_has_no_area():
    assert DrawnOver.of([]).left_of(shapely.box(0, 0, 0, 10), []) is None
