"""The marker stays where the pointer rests, whatever an edit does to the numbers of the points."""

import pytest
from geographiclib.geodesic import Geodesic
from PySide6.QtCore import QPoint

from planner.desk.map_extent import track_position
from tests.desk.test_one_choice import desk, pick

__all__ = ["desk"]


def test_merging_points_leaves_the_marker_under_the_resting_pointer(desk, hand, canvas, qtbot):
    """Our own rule (issue 8: one marker): it is where the hand is, not at the number that the point had."""
    desk.map_view.hovered.connect(desk.pointing.hover)
    canvas.fit(-150.202, 37.799, -150.194, 37.801)
    rests = (-150.1956, 37.8)
    hand.move(hand.at(rests))
    qtbot.waitUntil(lambda: desk.profile_view.panel.marker_m is not None)
    before_m = desk.profile_view.panel.marker_m
    pick(desk, 1, 2, 3)
    desk.menu_actions["merge"].trigger()
    assert len(desk.document.plan.path) == 4
    qtbot.wait(50)
    track = desk.document.assessment.track
    lon, lat = track_position(track, desk.profile_view.panel.marker_m)
    assert Geodesic.WGS84.Inverse(lat, lon, rests[1], rests[0])["s12"] < 10.0
    assert desk.profile_view.panel.marker_m == pytest.approx(before_m, abs=15.0)


def test_while_a_point_is_pulled_the_marker_goes_with_it_and_leaves_it_with_the_pointer(
    desk, hand, canvas, qtbot
):
    """Our own rule (issue 8: one marker): just then one looks for the ceiling at that point."""
    desk.map_view.hovered.connect(desk.pointing.hover)
    canvas.fit(-150.202, 37.799, -150.194, 37.801)
    panel, document = desk.profile_view.panel, desk.document

    def at_the_point():
        track = document.assessment.track
        return panel.marker_m == pytest.approx(float(track.distance_m[track.point_sample[1]]), abs=1.0)

    place = document.plan.path[1].place
    spot = hand.at((place.lon_deg, place.lat_deg))
    hand.press(spot)
    for step in (8, 16, 24, 30):
        hand.move(spot + QPoint(0, -step))
    qtbot.waitUntil(lambda: document.plan.path[1].place != place)
    qtbot.waitUntil(at_the_point)
    hand.release(spot + QPoint(0, -30))
    qtbot.waitUntil(at_the_point)
    hand.move(spot + QPoint(0, -120))
    qtbot.waitUntil(lambda: panel.marker_m is None)
