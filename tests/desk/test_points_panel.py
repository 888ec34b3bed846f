"""The points table against heights worked out by hand on level ground."""

import numpy as np
import pyproj
import pytest
from affine import Affine
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from planner.desk.points_model import AGL, AMSL, CEILING, HEIGHT, LAUNCH, LEG, REFERENCE, ROOM
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.geometry import LegShape, PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.model import Purpose
from planner.world.terrain import Terrain
from planner.world.world import World
from tests.desk.desk_rig import make_document, make_window, place, point, settled, small_plan

GROUND_M = 32.0


def level_world(_plan=None):
    """Give level ground of 32 m about the plan, without any record of it."""
    heights = np.full((400, 400), GROUND_M, dtype=np.float32)
    corner = place(-200, 200)
    cell = Affine(0.001, 0.0, corner.lon_deg, 0.0, -0.001, corner.lat_deg)
    return World(terrain=Terrain(heights, cell, pyproj.CRS.from_epsg(4326)))


@pytest.fixture
def document(qtbot):
    made = make_document(level_world)
    path = (point(0, 0, 30.48), PathPoint(place(2, 1), AboveSeaLevel(91.44)), point(4, 0, 152.4))
    made.replace(small_plan(path=path, launch=GroundSpot(place(0, 0)), purpose=Purpose.PART_107), None)
    settled(qtbot, made)
    yield made
    made.close()


@pytest.fixture
def panel(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to("points")
    qtbot.waitExposed(window)
    return window.side.points


def cell(panel, row, column):
    return panel.model.index(row, column).data()


def type_in_cell(panel, row, column, text):
    panel.table.setCurrentIndex(panel.model.index(row, column))
    panel.table.edit(panel.model.index(row, column))
    editor = panel.table.viewport().findChildren(QLineEdit)[-1]
    editor.selectAll()
    QTest.keyClicks(editor, text)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QTest.qWait(20)


def test_each_height_is_given_three_ways(panel):
    # Ground and launch lie at 32 m = 104.99 ft. 100 ft above that is 204.99 ft above the sea;
    # 300 ft above the sea is 195.01 ft above it; 500 ft above it is 604.99 ft. Planned heights round up;
    # the goggles show the nearest foot.
    shown = [[cell(panel, row, column) for column in (AGL, LAUNCH, AMSL)] for row in range(3)]
    assert shown == [["100", "100", "205"], ["196", "195", "300"], ["500", "500", "605"]]


def test_a_typed_height_takes_its_unit_and_is_one_undo_step(panel, document):
    type_in_cell(panel, 0, HEIGHT, "36 m")
    assert document.plan.path[0].height == AboveGround(36.0)
    document.undo_stack.undo()
    assert document.plan.path[0].height == AboveGround(30.48)


def test_a_height_that_cannot_be_read_changes_nothing_and_says_why(panel, document):
    heard = []
    document.message.connect(heard.append)
    type_in_cell(panel, 0, HEIGHT, "high")
    assert document.plan.path[0].height == AboveGround(30.48)
    assert "not a number" in heard[-1]


def test_opening_a_cell_and_leaving_it_keeps_the_exact_height(panel, document):
    type_in_cell(panel, 0, HEIGHT, cell(panel, 0, HEIGHT))
    assert document.undo_stack.count() == 0


def test_another_reference_keeps_the_height_in_the_air(panel, document):
    model = panel.model
    assert model.setData(model.index(0, REFERENCE), "above-sea-level")
    assert isinstance(document.plan.path[0].height, AboveSeaLevel)
    assert document.plan.path[0].height.m == pytest.approx(62.48)
    assert model.setData(model.index(0, REFERENCE), "above-launch")
    assert isinstance(document.plan.path[0].height, AboveLaunch)
    assert document.plan.path[0].height.m == pytest.approx(30.48)


def test_a_legs_shape_is_chosen_in_the_table_but_the_last_point_has_none(panel, document):
    model = panel.model
    assert model.setData(model.index(0, LEG), "follow-ground")
    assert document.plan.path[0].leg.shape is LegShape.FOLLOW_GROUND
    assert not model.flags(model.index(2, LEG)) & Qt.ItemFlag.ItemIsEditable
    assert cell(panel, 2, LEG) == ""


def test_without_data_nothing_is_made_up(qtbot):
    document = make_document()
    document.replace(small_plan(), None)
    settled(qtbot, document)
    panel = make_window(qtbot, document).side.points
    assert [cell(panel, 0, column) for column in (LAUNCH, AMSL, CEILING, ROOM)] == ["?"] * 4
    document.close()


def test_deleting_joins_the_neighbours_and_undo_brings_the_point_back(panel, document):
    panel.choose(1)
    panel.remove.click()
    assert [p.place for p in document.plan.path] == [place(0, 0), place(4, 0)]
    assert panel.model.rowCount() == 2
    document.undo_stack.undo()
    assert document.plan.path[1].place == Place(place(2, 1).lon_deg, place(2, 1).lat_deg)


def test_a_click_on_a_row_chooses_the_point(panel, qtbot):
    heard = []
    panel.point_chosen.connect(heard.append)
    where = panel.table.visualRect(panel.model.index(2, AMSL)).center()
    QTest.mouseClick(panel.table.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(where))
    assert heard == [2]
    assert QApplication.focusWidget() is panel.table


def test_a_point_under_the_ground_has_no_room(panel):
    """20 m under it are 65.6 ft, rounded away from zero: what is wrong is never made smaller."""
    type_in_cell(panel, 0, HEIGHT, "-20 m")
    assert cell(panel, 0, ROOM) == "-66"
