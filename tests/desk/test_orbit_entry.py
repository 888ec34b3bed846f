"""Where an orbit begins: the way to it does not lead over what is flown round, or the form says so."""

import math

import pytest

from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.figures import FigureKind
from tests.desk.desk_rig import figures_desk
from tests.desk.test_flown_figures import START, dialog_of, keep
from tests.worlds import at, plan, world


@pytest.fixture
def desk(qtbot):
    with figures_desk(qtbot, plan(path=START), world()) as window:
        yield window


def nearest_m(middle, one, other):
    """Return how near a straight way comes to its middle [m], by many places on it."""
    shares = (k / 2000 for k in range(2001))
    places = (
        Place(
            one.lon_deg + s * (other.lon_deg - one.lon_deg), one.lat_deg + s * (other.lat_deg - one.lat_deg)
        )
        for s in shares
    )
    return min(distance_m(middle, spot) for spot in places)


@pytest.mark.parametrize("clockwise", [True, False])
def test_the_way_to_an_orbit_clicked_on_its_far_side_does_not_lead_over_what_is_flown_round(
    desk, qtbot, clockwise
):
    """The path ends 100 m west, 60 m south; clicked north-east, the way there crosses the circle of 50 m."""
    before, middle = START[-1].place, at(0, 0)
    desk.doors.flown.lay(FigureKind.ORBIT, (middle, at(40, 30)))
    dialog = dialog_of(desk, qtbot)
    laying = dialog.laying
    assert laying.begins.value() is True
    assert "would lead through the circle" in dialog.form.state.text()
    laying.sense.box.setCurrentIndex(0 if clockwise else 1)
    laying.sense.box.activated.emit(laying.sense.box.currentIndex())
    keep(dialog)
    round_it = [one.place for one in desk.document.plan.path if one.figure]
    assert nearest_m(middle, before, round_it[0]) >= 49.9
    # It goes on the way it came: no turn back at the entry. Plane angles: it is 100 m across.
    heading = [
        math.atan2((b.lon_deg - a.lon_deg) * math.cos(math.radians(a.lat_deg)), b.lat_deg - a.lat_deg)
        for a, b in ((before, round_it[0]), (round_it[0], round_it[1]))
    ]
    turn_deg = (math.degrees(heading[1] - heading[0]) + 180.0) % 360.0 - 180.0
    assert abs(turn_deg) < 45.0
    assert (turn_deg > 0) is clockwise


def test_an_orbit_may_begin_where_it_was_clicked_and_the_form_says_what_that_crosses(desk, qtbot):
    """From (-100, -60) the way to (50, 30) runs straight through the middle."""
    desk.doors.flown.lay(FigureKind.ORBIT, (at(0, 0), at(50, 30)))
    dialog = dialog_of(desk, qtbot)
    begins = dialog.laying.begins
    begins.box.setCurrentIndex(1)
    begins.box.activated.emit(1)
    assert "leads through the circle, 0" in dialog.form.state.text()
    keep(dialog)
    entry = next(one.place for one in desk.document.plan.path if one.figure)
    assert distance_m(entry, at(50, 30)) < 3.0
    listed = desk.document.plan.path
    desk.doors.flown.lay_anew(0)
    anew = dialog_of(desk, qtbot)
    assert anew.laying.begins.value() is False
    keep(anew)
    gone_m = max(distance_m(a.place, b.place) for a, b in zip(listed, desk.document.plan.path, strict=True))
    assert gone_m < 0.01
