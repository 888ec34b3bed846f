"""How much of the map is shown of a plan: our own rule (issue 8: clear at first look)."""

import pytest

from planner.desk.map_extent import box_of_plan
from planner.desk.map_looks import MapLooks
from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.plan.model import Plan
from tests import worlds


def sides_m(plan):
    west, south, east, north = box_of_plan(plan)
    x_m, y_m = LocalFrame(Place(west, south)).place_to_xy(Place(east, north))
    return float(x_m), float(y_m)


@pytest.mark.parametrize("length_m", [60, 150, 550, 5000])
def test_a_path_takes_most_of_the_map_or_160_m_are_shown(length_m):
    plan = Plan(path=worlds.points([(0, 0, 30.0), (length_m, 20, 30.0)]))
    across_m, up_m = sides_m(plan)
    assert length_m < across_m <= max(1.2 * length_m, 170.0)
    assert 20 < up_m <= 170.0


def test_about_one_place_some_400_m_are_shown():
    across_m, up_m = sides_m(Plan(path=worlds.points([(0, 0, 30.0)])))
    assert 300.0 < across_m <= up_m < 450.0


class Fitted(MapLooks):
    """What the map is asked to show, without a map."""

    def __init__(self, document, view):
        super().__init__(document)
        self.canvas, self.fitted = self, []
        self._view = view

    def fit(self, *box):
        self.fitted.append(box)


def test_a_plan_in_view_stays_so_where_words_take_more_room_and_another_view_is_left(document):
    """Our own rule (issue 8: text scales)."""
    west, south, east, north = box = box_of_plan(document.plan)
    whole = Fitted(document, (west - 0.01, south - 0.01, east + 0.01, north + 0.01))
    part = Fitted(document, (west - 0.01, south - 0.01, (west + east) / 2, north + 0.01))
    for looks in (whole, part, Fitted(document, None)):
        looks.keep_whole()
    assert (whole.fitted, part.fitted) == ([box], [])


def test_of_an_empty_plan_there_is_no_box():
    assert box_of_plan(Plan()) is None
