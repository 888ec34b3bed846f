"""Routes and what can be asked for, at the very figures where they turn.

Part 107: the automated service up to the cell's value, further coordination above it and in cells of 0, up to
400 ft; above that headquarters (check_values 1.9 and 1.10, JO 7210.3 ch. 12 §§9-10, standing A).
"""

import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround
from planner.permission.need import Route
from planner.permission.routes import Circumstances, requestable_agl_m, route_in_controlled
from planner.plan.model import Purpose
from planner.units import GROUND_LIMIT_M
from tests.worlds import area, at, box, cell, ft, plan, points, volume, world

PART_107, FUN = Purpose.PART_107, Purpose.RECREATIONAL
MM = 0.001


@pytest.mark.parametrize(
    ("asked_m", "cell_m", "route"),
    [
        (ft(200), ft(200), Route.AUTOMATED),
        (ft(200) + MM, ft(200), Route.FURTHER_COORDINATION),
        (ft(400), ft(400), Route.AUTOMATED),
        (GROUND_LIMIT_M, ft(200), Route.FURTHER_COORDINATION),
        (GROUND_LIMIT_M + MM, ft(200), Route.HEADQUARTERS),
        (0.0, 0.0, Route.FURTHER_COORDINATION),  # who only launches in a cell of 0 asks for that, too
        (0.5, 0.9, Route.AUTOMATED),
        (None, ft(200), Route.FURTHER_COORDINATION),
        (ft(100), None, Route.FURTHER_COORDINATION),
    ],
)
def test_the_route_turns_at_the_cells_value_and_at_400_ft(asked_m, cell_m, route):
    assert route_in_controlled(Circumstances(PART_107, asked_m, cell_m, True))[0] is route
    assert route_in_controlled(Circumstances(PART_107, asked_m, cell_m, False))[0] is not Route.AUTOMATED


@pytest.mark.parametrize(
    ("purpose", "cell_m", "automated", "asked_for"),
    [
        (PART_107, ft(50), True, GROUND_LIMIT_M),
        (PART_107, None, False, GROUND_LIMIT_M),
        (FUN, ft(50), True, ft(50)),
        (FUN, ft(50), False, None),
        (FUN, None, True, None),
        (None, ft(50), True, ft(50)),  # not said: what the stricter of both gives
        (None, None, False, None),
    ],
)
def test_what_can_be_asked_for(purpose, cell_m, automated, asked_for):
    assert requestable_agl_m(purpose, cell_m, automated) == asked_for


# ---- what a request reaches over


@pytest.mark.parametrize(("top", "path"), [(80.0, True), (80.0, False), (None, False), (None, True)])
def test_an_area_is_asked_for_beside_the_path_in_it_unless_it_only_bounds_the_path(top, path):
    """An area with a top is flown freely; without one it bounds the path, and the path is flown."""
    place = area(box(-300, -200, 300, 200), None if top is None else AboveGround(top))
    line = points([(-100, 0, 50.0), (100, 0, 50.0)]) if path else ()
    answer = assess(
        plan(path=line, area=place, launch=None, landing=None),
        world(airspace=(volume(),), cells=(cell(400),)),
    )
    found = requests_for(answer)
    if top is None and not path:
        assert found == () or found[0].area.ring
        return
    (request,) = found
    frame = answer.scene.mapped.frame
    outline = shapely.Polygon([frame.place_to_xy(place) for place in request.area.ring])
    corner = shapely.Point(frame.place_to_xy(at(299, 199)))
    assert outline.covers(corner) is (top is not None)
    assert outline.covers(shapely.Point(frame.place_to_xy(at(99, 0))))
    assert request.highest_agl_m == pytest.approx(80.0 if top else 50.0)
    assert np.isfinite(request.area.circle.radius_m)


@pytest.mark.parametrize(("purpose", "others"), [(PART_107, ()), (FUN, (Route.FIXED_SITE,))])
def test_an_agreement_of_a_fixed_site_is_no_way_for_part_107(purpose, others):
    """49 USC 44809(c) speaks of recreational flights only (standing A)."""
    inside = Circumstances(purpose, ft(100), ft(200), True, in_fixed_site=True)
    assert route_in_controlled(inside) == (Route.AUTOMATED, others)
