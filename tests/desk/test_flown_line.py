"""The line that is flown where the aircraft can't keep to the path: worked by hand, drawn on desk and paper.

How far it sinks on the way: its rate of descent over its speed along the path (trigonometry).
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.desk.profile.annotations import labels_of
from planner.desk.profile.curves import curves_of, height_range_ft
from planner.desk.profile.legend import Sample
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.plot import samples_of
from planner.desk.profile.readout import describe
from planner.drawing.path_pattern import stretches
from planner.drawing.profile_picture import profile_picture
from planner.plan.geometry import Leg, LegShape
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.rules.flown_line import flown_line
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, above_ground, box, cliff, plan, points, terrain, volume, world

DROP_M, UP_M, SPEED_MPS = 88.0, 92.0, 15.0
CLIFF = terrain(cliff(DROP_M), cell_m=12.0, cells=151)


def over_the_edge(path, shape=LegShape.FOLLOW_GROUND, **rates):
    drawn = tuple(attrs.evolve(one, leg=Leg(shape, SPEED_MPS)) for one in points(path))
    flight = plan(Purpose.PART_107, path=drawn)
    craft = attrs.evolve(flight.aircraft, performance=Performance(**rates))
    return assess_live(attrs.evolve(flight, aircraft=craft), world(terrain=CLIFF))


def line_of(answer):
    return flown_line(answer.case, answer.findings)


@pytest.fixture(scope="module")
def cliff_answer():
    return over_the_edge([(-450, 0, UP_M), (600, 0, UP_M)], climb_mps=4.0, descent_mps=3.0)


@pytest.fixture(scope="module")
def class_e():
    shut = volume(
        AirspaceKind.CLASS_E_OTHER, box(-250, -500, 250, 500), floor=above_ground(60.0), name="HIGH E5"
    )
    path = points([(-500, 0, 75.0), (500, 0, 75.0)])
    return assess_live(plan(Purpose.RECREATIONAL, path=path), world(airspace=(shut,)))


def test_off_an_edge_it_sinks_as_fast_as_it_can(cliff_answer):
    """Down a slope of 3 over the root of 15² less 3² from the edge, one raster cell of 12 m, on."""
    track, line = cliff_answer.track, line_of(cliff_answer)
    slope = 3.0 / np.sqrt(SPEED_MPS**2 - 3.0**2)
    known = np.flatnonzero(np.isfinite(line))
    edge_m, at_m = track.x_m[known[0]], track.x_m[known]
    assert -30.0 < edge_m < 0.0
    expected = np.maximum(GROUND_M + UP_M - slope * (at_m - edge_m), GROUND_M - DROP_M + UP_M)
    assert line[known] == pytest.approx(expected, abs=0.05)
    assert at_m[-1] - edge_m == pytest.approx(DROP_M / slope, abs=25.0)


def test_before_a_wall_it_stays_low():
    answer = over_the_edge([(600, 0, 30.0), (-450, 0, 30.0)], climb_mps=4.0, descent_mps=3.0)
    track, line = answer.track, line_of(answer)
    known = np.isfinite(line)
    with np.errstate(invalid="ignore"):
        assert (line[known] <= track.planned_amsl_m[known] + 1e-9).all()
        assert (line < track.ground_amsl_m).any()


def test_without_rates_it_is_flown_at_45_degrees():
    """ASSUMED_SLOPE, own choice: 88 m down within 12 m on the map takes 88 m and no more."""
    answer = over_the_edge([(-450, 0, UP_M), (600, 0, UP_M)])
    line, east_m = line_of(answer), answer.case.track.x_m
    known = np.flatnonzero(np.isfinite(line))
    assert np.nanmin(np.diff(line[known])) >= -12.1
    # And the samples beside it, 12 m apart at the most.
    assert east_m[known[-1]] - east_m[known[0]] < 88 + 2 * 12


def test_what_is_flown_as_drawn_has_no_such_line():
    assert line_of(over_the_edge([(-450, 0, 30.0), (-100, 0, 40.0)])) is None
    assert (
        line_of(over_the_edge([(-450, 0, UP_M), (600, 0, UP_M)], LegShape.STRAIGHT, descent_mps=9.0)) is None
    )
    assert flown_line(None, ()) is None


def test_a_straight_leg_that_is_steeper_than_its_rate_has_one_where_that_is_told():
    path = [(-450, 0, UP_M), (-6, 0, UP_M), (6, 0, UP_M), (600, 0, UP_M)]
    answer = over_the_edge(path, LegShape.STRAIGHT, climb_mps=4.0, descent_mps=3.0)
    assert [one.mark.value for one in answer.findings if one.rule == "ground-falls-too-fast"] == ["unknown"]
    assert np.isfinite(line_of(answer)).any()


# ---- drawn


def shown(qtbot, answer):
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    panel.resize(1280, 300)
    panel.show_assessment(answer)
    panel.show()
    return panel


def test_it_is_drawn_and_explained_and_has_room(qtbot, cliff_answer):
    panel = shown(qtbot, cliff_answer)
    curves = panel.plot.curves
    assert np.nanmax(curves.flown_ft) == pytest.approx((GROUND_M + UP_M) / FOOT_M, abs=1.0)
    assert Sample.FLOWN in samples_of(panel.plot)
    assert Sample.FLOWN in panel.legend.samples
    high = height_range_ft(curves, 600.0, 700.0)[1]
    assert high >= np.nanmax(curves.flown_ft[(curves.distance_m > 600) & (curves.distance_m < 700)])


def test_what_is_open_beneath_class_e_is_drawn_explained_and_told(qtbot, class_e):
    """A floor 60 m above level ground: 196.8 ft, rounded down."""
    panel = shown(qtbot, class_e)
    curves, profile, track = panel.plot.curves, class_e.profile, class_e.track
    opened = profile.open_below_amsl_m(track.ground_amsl_m)
    inside = np.isnan(profile.ceiling_amsl_m)
    assert opened[inside] == pytest.approx(GROUND_M + 60.0)
    assert np.isnan(opened[~inside]).all()
    assert curves.open_ft[inside] == pytest.approx((GROUND_M + 60.0) / FOOT_M)
    assert {Sample.OPEN, Sample.UNKNOWN} <= set(samples_of(panel.plot))
    words = [label.text for label in labels_of(track, profile, ())]
    assert "open below, not known above" in words
    assert "limit not known" not in words
    told = describe(class_e, 500.0).words()[-1]
    assert told == "ceiling not known, open up to 196 ft above ground until the authority has answered"


def test_elsewhere_neither_is_drawn(qtbot):
    answer = assess_live(plan(), world())
    panel = shown(qtbot, answer)
    assert not {Sample.OPEN, Sample.FLOWN} & set(samples_of(panel.plot))
    assert np.isnan(curves_of(answer.track, answer.profile, stretches(answer)).flown_ft).all()


def test_beneath_what_is_open_nothing_is_hatched(qtbot, class_e):
    """The pixel half way between ground and floor is paper, the one above the floor is not."""
    panel = shown(qtbot, class_e)
    plot = panel.plot
    scale, picture = plot.view.scale_now, plot.grab().toImage()
    ratio = picture.devicePixelRatio()
    left, top = plot.plot_box().left(), plot.plot_box().top()

    def colours(at_ft):
        x, y = left + scale.x_px(430.0), top + scale.y_px(at_ft)
        return {picture.pixelColor(int((x + k) * ratio), int(y * ratio)).name() for k in range(12)}

    ground_ft = GROUND_M / FOOT_M
    assert len(colours(ground_ft + 100.0)) == 1
    assert len(colours(ground_ft + 220.0)) > 1


def test_on_paper_both_stand_in_the_key(cliff_answer, class_e):
    for answer, words in ((cliff_answer, "as it would fly"), (class_e, "open below")):
        assert words in profile_picture(answer, 560.0, 180.0)
    plain = profile_picture(assess_live(plan(), world()), 560.0, 180.0)
    assert "as it would fly" not in plain
    assert "open below" not in plain
