"""Heights on contour lines: each stands on a line of that height, and on nothing else."""

import re

import numpy as np
import pytest
import shapely

from planner.drawing.contour_labels import draw_contour_labels
from planner.drawing.labels import LabelBoard
from planner.drawing.relief import ContourInterval
from planner.units import FOOT_M

SIDE, PX = 290.0, 2.6
INTERVAL = ContourInterval(10 * FOOT_M, 50 * FOOT_M)


def slope_of(per_pt_ft):
    """Ground that rises to the right, in feet a point, from 0 at the left edge."""
    columns = round(SIDE * PX)
    row = (np.arange(columns) + 0.5) / PX * per_pt_ft * FOOT_M
    return np.tile(row, (columns, 1)).astype(np.float32)


def labels(svg):
    return [
        (float(x), int(feet.replace(",", "")))
        for x, feet in re.findall(r'<text x="([\d.]+)"[^>]*>([\d,]+) ft AMSL<', svg)
    ]


def test_each_stands_on_its_own_line():
    found = labels(draw_contour_labels(slope_of(1.0), INTERVAL, PX, LabelBoard(SIDE, SIDE)))
    assert len(found) == 3
    assert len({feet for _, feet in found}) == 3
    for x, feet in found:
        assert feet % 50 == 0
        # A foot a point: the line of so many feet runs so many points from the left.
        assert x == pytest.approx(feet, abs=1.0)


def test_none_is_put_where_there_is_no_line_or_no_height():
    flat = np.full((700, 700), 37.0, dtype=np.float32)
    void = np.full((700, 700), np.nan, dtype=np.float32)
    for heights in (flat, void):
        assert draw_contour_labels(heights, INTERVAL, PX, LabelBoard(SIDE, SIDE)) == ""


def test_none_crosses_the_path_or_stands_on_a_mark():
    board = LabelBoard(SIDE, SIDE)
    board.avoid(shapely.box(0, 0, SIDE, SIDE), 60.0)
    assert draw_contour_labels(slope_of(1.0), INTERVAL, PX, board) == ""
    taken = LabelBoard(SIDE, SIDE)
    taken.keep_box_free(0, 0, SIDE, SIDE)
    assert draw_contour_labels(slope_of(1.0), INTERVAL, PX, taken) == ""
