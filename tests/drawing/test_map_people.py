"""Where the aircraft returns to by itself, on a sheet's map."""

import attrs

from planner.drawing.labels import LabelBoard
from planner.drawing.map_people import draw_people
from planner.drawing.map_sheet import MapSheet
from tests.worlds import at, plan

SIDE = 290.0


def drawn(return_point):
    flight = attrs.evolve(plan(), return_point=return_point)
    sheet = MapSheet.around([at(-300, -300), at(300, 300)], SIDE, SIDE)
    return draw_people(flight, sheet, LabelBoard(SIDE, SIDE)), sheet


def test_the_return_point_has_a_mark_and_a_word_of_its_own():
    without, _ = drawn(None)
    people, sheet = drawn(at(120, 80))
    assert people.marks.startswith(without.marks) or without.marks in people.marks
    (label,) = (one for one in people.labels if one.text == "return")
    assert (label.x, label.y) == sheet.of_place(at(120, 80))
    assert not any(one.text == "return" for one in without.labels)
