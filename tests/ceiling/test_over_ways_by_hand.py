"""What is allowed, asked for or shut over places that are flown through off the path: heights by hand.

What is closed: 14 CFR 107.45 and part 73 (check_values 1.17, standing A), Class D: 14 CFR 107.41; of Class E
that only the authority can open: 49 USC 44809(a)(5)-(6), check_values 1.13. Level ground.
"""

from datetime import timedelta

import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.over_ways import met_beneath, met_straight_up, needed_agl_m, outlines_about, over_ways
from planner.plan.model import Purpose
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    WINDOW,
    above_ground,
    area,
    at,
    box,
    cell,
    plan,
    record,
    tower,
    volume,
    world,
)

INSIDE, OUTSIDE = (0.0, 100.0), (0.0, 1_500.0)
AROUND = box(-800, -200, 800, 300)


def scene(*airspace, purpose=Purpose.PART_107, permissions=(), standing=frozenset(), **given):
    flight = plan(
        purpose,
        permissions=permissions,
        guidelines="X" if purpose is Purpose.RECREATIONAL else "",
        structures_standing=standing,
    )
    return assess_live(flight, world(airspace=airspace, **given)).scene


def named(charts, name):
    (column,) = [column for column, one in charts.mapped.airspace.items() if one.name == name]
    return column


def at_places(charts, *offsets):
    x_m, y_m = np.array([charts.mapped.frame.place_to_xy(at(*each)) for each in offsets]).T
    return x_m, y_m


def over(charts, *flown):
    """Places and how high above the ground each is flown through [m]."""
    heights = GROUND_M + np.array([height_m for _, height_m in flown])
    return over_ways(charts, *at_places(charts, *(place for place, _ in flown)), heights)


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY])
def test_what_is_shut_above_an_open_question_is_shut_whatever_its_answer(kind):
    """Class E4 from the ground, closed from 60 m over it: at 80 m that floor holds, at 50 m nobody knows."""
    charts = scene(
        volume(AirspaceKind.CLASS_E4, AROUND, name="E4"),
        volume(kind, AROUND, floor=above_ground(60.0), name="SHUT"),
    )
    found = over(charts, (INSIDE, 80.0), (INSIDE, 50.0))
    assert found.ceiling.amsl_m[0] - GROUND_M == pytest.approx(60.0, abs=0.01)
    assert found.ceiling.column[0] == named(charts, "SHUT")
    assert np.isnan(found.ceiling.amsl_m[1])


def test_how_far_above_the_floor_of_what_only_the_authority_opens():
    low = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(60.0), name="LOW")
    high = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(80.0), name="HIGH", outline=AROUND)
    charts = scene(high, low, purpose=Purpose.RECREATIONAL)
    found = over(charts, (INSIDE, 90.0), (INSIDE, 50.0), (OUTSIDE, 70.0), ((20_000.0, 0.0), 90.0))
    assert found.asked.tolist() == [named(charts, "LOW"), -1, named(charts, "LOW"), -1]
    assert found.above_m == pytest.approx([30.0, -np.inf, 10.0, -np.inf], abs=0.01)
    ground = scene(volume(AirspaceKind.CLASS_E4, AROUND, name="E4"))
    found = over(ground, (INSIDE, 90.0), (OUTSIDE, 90.0))
    assert found.above_m.tolist() == [np.inf, -np.inf]
    # Whether it is shut nobody can say.
    assert np.isnan(found.ceiling.amsl_m).tolist() == [True, False]
    assert not found.from_ground.any()


def test_how_far_above_what_is_to_be_asked_for():
    """The path needs 30 m; the Class D ends 60 m above the ground."""
    d = volume(AirspaceKind.CLASS_D, AROUND, name="D", top=above_ground(60.0))
    charts = scene(d, cells=(cell(200),))
    found = over(charts, (INSIDE, 45.0), (INSIDE, 20.0), (INSIDE, 70.0), (OUTSIDE, 45.0))
    assert found.wanting.tolist() == [named(charts, "D"), named(charts, "D"), -1, -1]
    assert found.above_asked_m == pytest.approx([15.0, -10.0, -np.inf, -np.inf], abs=0.01)
    # It closes nothing here.
    assert not found.from_ground.any()
    assert needed_agl_m(charts) == {named(charts, "D"): pytest.approx(30.0, abs=0.01)}


def test_what_is_on_record_is_not_to_be_asked_for_and_an_agency_is_asked_as_others_are():
    d = volume(AirspaceKind.CLASS_D, AROUND, name="D")
    held = scene(d, cells=(cell(200),), permissions=(record("D", 35.0),))
    assert needed_agl_m(held) == {}
    found = over(held, (INSIDE, 45.0), (OUTSIDE, 45.0))
    assert found.wanting.tolist() == [-1, -1]
    assert found.ceiling.amsl_m[0] - GROUND_M == pytest.approx(35.0, abs=0.01)
    shut = scene(volume(AirspaceKind.RESTRICTED, AROUND, name="R"))
    assert needed_agl_m(shut) == {named(shut, "R"): pytest.approx(30.0, abs=0.01)}
    found = over(shut, (INSIDE, 45.0), (INSIDE, 130.0), (OUTSIDE, 45.0))
    assert found.above_asked_m == pytest.approx([15.0, 100.0, -np.inf], abs=0.01)
    assert not found.from_ground.any()
    # No agency lifts the 400 ft, 121.92 m (14 CFR 107.51(b)).
    assert found.ceiling.amsl_m[1] - GROUND_M == pytest.approx(121.92, abs=0.01)


def test_what_an_agency_closes_and_nothing_drawn_enters_is_shut_to_returns():
    high = scene(volume(AirspaceKind.RESTRICTED, AROUND, floor=above_ground(40.0), name="R"))
    assert needed_agl_m(high) == {}
    found = over(high, (INSIDE, 45.0), (INSIDE, 35.0))
    assert found.ceiling.amsl_m - GROUND_M == pytest.approx([40.0, 40.0], abs=0.01)


def test_of_two_to_be_asked_for_the_one_it_comes_farther_above_is_named():
    """The path needs 30 m in both."""
    d = volume(AirspaceKind.CLASS_D, AROUND, name="D")
    b = volume(AirspaceKind.CLASS_B, box(-800, -200, 800, 200), name="B")
    found = over(scene(d, b, cells=(cell(200),)), (INSIDE, 45.0))
    assert found.above_asked_m == pytest.approx([15.0], abs=0.01)


def test_of_no_places_there_is_nothing():
    none = np.empty(0)
    found = over_ways(scene(), none, none, none)
    sizes = [
        len(one)
        for one in (found.ceiling.amsl_m, found.from_ground, found.asked, found.above_m, found.wanting)
    ]
    assert sizes == [0] * 5
    assert len(found.ceiling.column) == len(found.above_asked_m) == 0


BAND = {"floor": above_ground(50.0), "top": above_ground(70.0)}


def test_what_a_way_straight_up_passes_through():
    charts = scene(volume(AirspaceKind.RESTRICTED, AROUND, name="R", **BAND))
    x_m, y_m = at_places(charts, INSIDE, INSIDE, INSIDE, INSIDE, OUTSIDE)
    from_m = GROUND_M + np.array([30.0, 30.0, 30.0, 71.0, 30.0])
    to_m = GROUND_M + np.array([90.0, 60.0, 40.0, 90.0, 90.0])
    which, heights_m = met_straight_up(charts, x_m, y_m, from_m, to_m)
    assert which.tolist() == [0, 1]
    assert heights_m - GROUND_M == pytest.approx([70.0, 60.0], abs=0.01)
    none = np.empty(0)
    assert [len(one) for one in met_straight_up(charts, none, none, none, none)] == [0, 0]


def test_what_a_way_straight_down_passes_through():
    under = {"floor": above_ground(10.0), "top": above_ground(25.0)}
    shut = volume(AirspaceKind.RESTRICTED, AROUND, name="R", **under)
    d = volume(AirspaceKind.CLASS_D, AROUND, name="D")
    charts = scene(shut, d, cells=(cell(200),))
    x_m, y_m = at_places(charts, INSIDE, OUTSIDE, INSIDE)
    from_m, to_m = GROUND_M + np.array([0.0, 0.0, 26.0]), np.full(3, GROUND_M + 30.0)
    ((block, met),) = met_beneath(charts, x_m, y_m, from_m, to_m)
    assert (block.column, met.tolist()) == (named(charts, "R"), [True, False, False])
    assert met_beneath(charts, x_m[1:], y_m[1:], from_m[1:], to_m[1:]) == []
    none = np.empty(0)
    assert met_beneath(charts, none, none, none, none) == []
    far = at_places(charts, (30_000.0, 0.0))
    assert met_beneath(charts, *far, from_m[:1], to_m[:1]) == []


def test_which_outlines_about_places_count():
    """Class E that is no surface area closes nothing to Part 107, nor does what is not active."""
    late = {"active_from_utc": WINDOW.end_utc + timedelta(hours=9)}
    ring = area(box(-300, -100, 300, 200), None).ring
    charts = scene(
        volume(AirspaceKind.RESTRICTED, AROUND, name="R"),
        volume(AirspaceKind.CLASS_E4, AROUND, name="E4"),
        volume(AirspaceKind.CLASS_D, AROUND, name="D"),
        volume(AirspaceKind.CLASS_E_OTHER, AROUND, name="E"),
        volume(AirspaceKind.RESTRICTED, AROUND, name="LATE", **late),
        volume(AirspaceKind.RESTRICTED, box(5_000, 5_000, 6_000, 6_000), name="FAR"),
        cells=(cell(200),),
        structures=(tower(100.0, (0.0, 100.0)),),
        permissions=(record("R", 35.0, ring=ring),),
        standing=frozenset({"tower 100"}),
    )
    closing, setting = outlines_about(charts, *at_places(charts, INSIDE))
    mapped = charts.mapped
    of_airspace = [mapped.outlines.polygon(named(charts, name)) for name in ("R", "E4", "D")]
    # The last are where data end.
    assert [one.equals(each) for one, each in zip(of_airspace, closing, strict=False)] == [True] * 3
    assert all(not one.equals(of_airspace[0]) for one in closing[3:])
    granting = [*mapped.structures, *mapped.record_columns.values()]
    assert len(granting) == 2
    assert len(setting) == len(closing) + 2


@pytest.mark.parametrize(
    ("purpose", "standing", "counts"),
    [
        (Purpose.PART_107, {"tower 100"}, True),
        (Purpose.PART_107, {"another"}, False),
        (Purpose.RECREATIONAL, {"tower 100"}, False),
    ],
)
def test_a_structure_sets_a_ceiling_only_where_it_raises_the_limit(purpose, standing, counts):
    """14 CFR 107.51(b), of a structure that the pilot says stands; 49 USC 44809(a)(6) knows none."""
    charts = scene(purpose=purpose, standing=frozenset(standing), structures=(tower(100.0, (0.0, 100.0)),))
    (column,) = charts.mapped.structures
    _, setting = outlines_about(charts, *at_places(charts, INSIDE))
    assert (charts.mapped.outlines.shapes[column] in setting) == counts


def test_what_is_shut_from_the_ground_up_leaves_nothing_over_it():
    """Its outline begins 150 m north of the path, which does not enter it."""
    beside = box(-800, 150, 800, 300)
    charts = scene(volume(AirspaceKind.RESTRICTED, beside, name="R"))
    found = over(charts, ((0.0, 200.0), 45.0), ((0.0, 100.0), 45.0))
    assert found.from_ground.tolist() == [True, False]
    assert found.ceiling.amsl_m[0] - GROUND_M == pytest.approx(0.0, abs=0.01)
    assert found.ceiling.column[0] == named(charts, "R")


def test_the_most_above_what_is_to_be_asked_for_is_that_of_the_highest_place():
    """The path needs 30 m: 45 m are 15 m above that, 20 m none."""
    d = volume(AirspaceKind.CLASS_D, AROUND, name="D")
    charts = scene(d, cells=(cell(200),))
    for heights in ((45.0, 20.0), (20.0, 45.0)):
        found = over(charts, *((INSIDE, height_m) for height_m in heights), (OUTSIDE, 45.0))
        assert found.most_above_asked_m == {named(charts, "D"): pytest.approx(15.0, abs=0.01)}
