"""A flying area whose path, ground and records are put in by hand: which of its rules says something."""

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveGround
from planner.plan.model import Purpose
from planner.rules.area import _outside, area_height, area_without_room
from planner.rules.finding import Mark
from tests.rules.hand_made import judged
from tests.worlds import area, box, ft, plan, points

TOP = AboveGround(60.0)
FREE = judged(plan(path=(), area=area(box(-50, -50, 50, 50), TOP)))
HERE = box(-50, -50, 50, 50)


def test_an_area_that_was_too_large_to_sample_is_not_known():
    unsampled = attrs.evolve(FREE, area=None, area_samples=None)
    (one,) = area_height(unsampled)
    assert (one.rule, one.mark) == ("area-too-large", Mark.UNKNOWN)
    # Its width as drawn is bounded by 100 km (own choice).
    assert one.message.startswith("It is wider than 100 km, or more than ")
    for other in ({"mapped": None}, {"area_samples": FREE.area_samples}):
        assert not list(area_height(attrs.evolve(unsampled, **other)))
    assert not list(area_height(attrs.evolve(unsampled, plan=attrs.evolve(FREE.plan, area=None))))


@pytest.mark.parametrize(("count", "told"), [(0, 1), (1, 1), (2, 0), (3, 0)])
def test_without_a_top_it_is_the_path_that_is_judged_and_a_point_is_no_path(count, told):
    path = points([(0, 0, 30.0), (20, 0, 30.0), (20, 20, 30.0)][:count])
    flight = attrs.evolve(FREE.plan, area=area(HERE, None), path=path)
    found = [one.rule for one in area_height(attrs.evolve(FREE, plan=flight))]
    assert found == ["area-without-top"] * told


@pytest.mark.parametrize(
    ("purpose", "ends"), [(Purpose.PART_107, "or let it follow the ground"), (Purpose.RECREATIONAL, "ground")]
)
def test_where_no_permission_is_in_question_none_is_named(purpose, ends):
    above = attrs.evolve(FREE.area, over_height_limit_m=ft(20))
    (one,) = area_height(
        attrs.evolve(FREE, plan=attrs.evolve(FREE.plan, purpose=purpose), area=above, needs=())
    )
    assert one.rule == "area-above-limit"
    assert one.remedy.endswith(ends)


def test_ground_that_rises_out_of_the_area_somewhere_leaves_room_elsewhere():
    samples, n = FREE.area_samples, len(FREE.area_samples.ground_amsl_m)
    ground = samples.ground_amsl_m

    def told(top, given=ground):
        return list(
            area_without_room(
                attrs.evolve(
                    FREE, area_samples=attrs.evolve(samples, planned_amsl_m=top, ground_amsl_m=given)
                )
            )
        )

    assert not told(np.where(np.arange(n) == 3, ground + 5.0, ground - 5.0))
    assert [one.mark for one in told(ground - 5.0)] == [Mark.UNKNOWN]
    assert [one.mark for one in told(ground)] == [Mark.UNKNOWN]
    assert not told(ground - 5.0, np.where(np.arange(n) == 3, np.nan, ground))


def bent(*corners):
    x_m, y_m = np.array(corners, dtype=float).T
    case = judged(plan())
    return attrs.evolve(case.track, x_m=x_m, y_m=y_m, distance_m=np.arange(len(x_m), dtype=float))


# A room of 100 by 100 m with a notch of 20 m from the north, down to its middle.
NOTCHED = shapely.box(0, 0, 100, 100) - shapely.box(40, 50, 60, 100)


@pytest.mark.parametrize(
    ("corners", "outside"),
    [
        # Along the foot, and across the notch between two samples that lie inside.
        ([(10, 10), (90, 10), (90, 80), (10, 80), (10, 90)], [0, 0, 1, 1, 0]),
        ([(10, 80), (90, 80), (90, 10), (80, 10)], [1, 1, 0, 0]),
        ([(10, 10), (20, 10), (20, 80), (80, 80)], [0, 0, 1, 1]),
        # A sample outside tells of itself: the pieces to it are its own.
        ([(10, 10), (-20, 10), (10, 20), (20, 20)], [0, 1, 0, 0]),
        ([(10, 10), (90, 10), (90, 90), (70, 90)], [0, 0, 0, 0]),
    ],
)
def test_what_is_outside_is_told_at_both_ends_of_a_piece_that_leaves_between_them(corners, outside):
    assert _outside(bent(*corners), NOTCHED).tolist() == [bool(one) for one in outside]
