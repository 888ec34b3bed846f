"""The shape of a figure read back from its points, to be laid out again."""

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from planner.errors import PlanError
from planner.geo.frame import LocalFrame
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.figure_shapes import DiveShape, FigureShape, GapShape, OrbitShape, PassShape
from planner.plan.figures import Figure, FigureKind
from planner.plan.geometry import PathPoint

Points = Sequence[PathPoint]
_LAID: Final = 3
"""A dive that was laid out has its top, its bottom, and the end of its run-out if there is one."""
_TURN_DIGITS: Final = 7
"""A whole turn read back is a whole turn: a hair more would be laid out with one more leg."""
_SAME_M: Final = 0.05
"""Points nearer to where they would be laid out than this were not moved."""


def shape_of(figure: Figure, points: Points, drop_m: float | None = None) -> FigureShape:
    """Return the shape whose layout comes nearest to a figure's points, entry first.

    `drop_m` is how far a dive comes down to `bottom_of` its points [m], None where nobody knows.

    Raises
    ------
    PlanError
        If the figure was made of points and says not what it is flown about.
    """
    return _READ[figure.kind](figure, points, drop_m)


def is_as_laid_out(shape: FigureShape, points: Points) -> bool:
    """Whether a figure's points still lie where the shape lays them out, at its heights."""
    try:
        laid = shape.points()
    except PlanError:
        return False
    return len(laid) == len(points) and all(
        distance_m(one.place, other.place) < _SAME_M
        and type(one.height) is type(other.height)
        and abs(one.height.m - other.height.m) < _SAME_M
        for one, other in zip(laid, points, strict=True)
    )


def bottom_of(points: Points) -> PathPoint:
    """Return where a dive ends: its second point if it was laid out, the last of a line drawn by hand."""
    return points[1] if len(points) <= _LAID else points[-1]


def _orbit(figure: Figure, points: Points, _drop_m: float | None) -> OrbitShape:
    centre = _subject(figure)
    frame = LocalFrame(centre)
    bearings = [math.atan2(*frame.place_to_xy(point.place)) for point in points]
    turned = sum((after - before + math.pi) % math.tau - math.pi for before, after in pairwise(bearings))
    step_rad = turned / (len(points) - 1)
    out_m = math.hypot(*frame.place_to_xy(points[0].place))
    return OrbitShape(
        centre,
        points[0].place,
        out_m * math.cos(step_rad / 2),
        points[0].height,
        clockwise=turned >= 0.0,
        turns=round(abs(turned) / math.tau, _TURN_DIGITS),
        speed_mps=points[0].leg.speed_mps,
    )


def _dive(_figure: Figure, points: Points, drop_m: float | None) -> DiveShape:
    top, bottom = points[0], bottom_of(points)
    run_out_m = distance_m(bottom.place, points[2].place) if len(points) == _LAID else 0.0
    shape = DiveShape(top.place, bottom.place, top.height, bottom.height, drop_m=drop_m, run_out_m=run_out_m)
    speed_mps = top.leg.speed_mps
    if speed_mps is None or drop_m is None or drop_m <= 0.0:
        return shape
    descent_mps = speed_mps * drop_m / math.hypot(shape.length_m, drop_m)
    return DiveShape(top.place, bottom.place, top.height, bottom.height, descent_mps, drop_m, run_out_m)


def _gap(figure: Figure, points: Points, _drop_m: float | None) -> GapShape:
    opening = figure.subject or points[len(points) // 2].place
    return GapShape(opening, points[0].place, points[0].height, points[0].leg.speed_mps)


def _pass(figure: Figure, points: Points, _drop_m: float | None) -> PassShape:
    passed = _subject(figure)
    frame = LocalFrame(points[0].place)
    subject_x_m, subject_y_m = frame.place_to_xy(passed)
    end_x_m, end_y_m = frame.place_to_xy(points[-1].place)
    # Above zero where the subject lies left of the way from entry to exit.
    across = end_x_m * subject_y_m - end_y_m * subject_x_m
    aside_m = abs(across) / math.hypot(end_x_m, end_y_m)
    return PassShape(
        passed, points[0].place, aside_m, points[0].height, on_left=across >= 0.0,
        speed_mps=points[0].leg.speed_mps,
    )  # fmt: skip


def _subject(figure: Figure) -> Place:
    if figure.subject is None:
        raise PlanError(
            f"{figure.called} was made of points and says not what it is flown about",
            remedy="move its points, or delete it and lay it out by clicks",
        )
    return figure.subject


_READ: Final[Mapping[FigureKind, Callable[[Figure, Points, float | None], FigureShape]]] = {
    FigureKind.ORBIT: _orbit,
    FigureKind.DIVE: _dive,
    FigureKind.GAP: _gap,
    FigureKind.PASS: _pass,
}
