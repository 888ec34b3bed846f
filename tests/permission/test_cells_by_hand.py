"""Cells of a facility map touched by a flight: outlines (plane, m) and values (ft) put in by hand.

The lowest value touched decides, and every cell must be answered by the automated service (facility map flow
chart, FAA; check_values 1.10). Corners are published to 1e-5 degrees, 1.1 m (a degree is 111 km).
"""

from types import SimpleNamespace

import pytest
import shapely

from planner.permission.cells import TouchedCells, touched_cells
from tests.worlds import cell, ft

WAY = shapely.LineString([(0.0, 0.0), (100.0, 0.0)])


@pytest.mark.parametrize(
    ("feet", "complete", "lowest_ft"),
    [
        ([200], True, 200),
        ([200, 100, 400], True, 100),
        ([200, 0], True, 0),
        ([200, None], True, None),
        ([None], True, None),
        ([200, 100], False, None),
        ([], True, None),
    ],
)
def test_the_lowest_value_of_those_that_cover_the_flight(feet, complete, lowest_ft):
    found = TouchedCells(tuple(cell(one) for one in feet), complete)
    assert found.ceiling_agl_m == (None if lowest_ft is None else ft(lowest_ft))


@pytest.mark.parametrize(
    ("answered", "automated"), [([True, True], True), ([True, False], False), ([False], False), ([], False)]
)
def test_the_automated_service_must_answer_for_every_cell(answered, automated):
    cells = tuple(cell(200, key=str(k), automated=one) for k, one in enumerate(answered))
    assert TouchedCells(cells, complete=True).automated is automated


def touched(*boxes):
    """Which cells a way of 100 m to the east meets, and whether they cover it."""
    shapes = {column: shapely.box(*box) for column, box in enumerate(boxes)}
    mapped = SimpleNamespace(
        outlines=SimpleNamespace(polygon=lambda column: shapes[column]),
        cells={column: cell(200, key=f"cell {column}") for column in shapes},
    )
    found = touched_cells(WAY, list(shapes)[::-1], mapped)
    return [one.key for one in found.cells], found.complete


WHOLE = (-10.0, -50.0, 110.0, 0.0)


@pytest.mark.parametrize(
    ("boxes", "keys", "complete"),
    [
        ([WHOLE], ["cell 0"], True),
        # A cell that begins 1 m beside the way counts as touched, one that begins 1.2 m beside it does not.
        ([WHOLE, (0.0, 1.0, 50.0, 50.0)], ["cell 0", "cell 1"], True),
        ([WHOLE, (0.0, 1.2, 50.0, 50.0)], ["cell 0"], True),
        ([(0.0, 1.2, 50.0, 50.0)], [], False),
        # A gap of 2 m between cells is a rounding of corners; one of 3 m is not.
        ([(-9.0, -9.0, 49.0, 9.0), (51.0, -9.0, 109.0, 9.0)], ["cell 0", "cell 1"], True),
        ([(-9.0, -9.0, 49.0, 9.0), (52.0, -9.0, 109.0, 9.0)], ["cell 0", "cell 1"], False),
        ([], [], False),
    ],
)
def test_which_cells_a_way_meets_and_whether_they_cover_it(boxes, keys, complete):
    assert touched(*boxes) == (keys, complete)
