"""Rules on who and what lies on the way between the launch or landing point and what is drawn."""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.cover import cover_of, left_of, untold_cover
from planner.flight.fall_zone import grown_by_m
from planner.flight.obstacles import ASSUMED_HORIZONTAL_M, obstacles_of, told_structures, untold_structures
from planner.geo.near_lines import lines_near
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.standing import CHARTED_AT_MOST_M
from planner.rules.undrawn import UndrawnWay, ways_not_drawn
from planner.rules.undrawn_people import Near, people_about
from planner.rules.words import along, over_ft, room_ft
from planner.track.guy_wires import cones_in_box
from planner.track.mapped import Mapped
from planner.world.buildings import Building
from planner.world.structures import Structure

_SLACK_M = 0.01
"""What is farther off than it is to be grown, by more than this, does not come nearer by that."""


def people_on_the_way(case: Case) -> Iterator[Finding]:
    """Yield an unknown for people on a way that is not drawn, an act for what stands in it."""
    if case.mapped is None:
        return
    for way in ways_not_drawn(case, case.mapped):
        if way.is_column:
            continue
        wide_m = grown_by_m(case.plan.aircraft)
        people = people_about(case, case.mapped, way)
        if people:
            yield _over_people(case, way, people, wide_m)
        elif met := _struck(case, case.mapped, way, 0.0):
            yield _finding(case, way, Mark.ACT, f"flown straight it would hit {met}")
        elif met := _struck(case, case.mapped, way, wide_m):
            beside = f"flown straight it would pass {met} within {over_ft(wide_m)}: nobody flies so exactly"
            yield _finding(case, way, Mark.ACT, beside)
        elif untold := _of_no_height(case, case.mapped, way, wide_m):
            over = f"leads over {untold} or close beside, and nobody has said how high it is"
            yield _finding(case, way, Mark.ACT, over)
        elif mast := _under_wires(case, case.mapped, way):
            yield _finding(
                case, way, Mark.ACT, f"flown straight it would pass where the guy wires of {mast} may be"
            )


def _over_people(case: Case, way: UndrawnWay, people: Sequence[Near], wide_m: float) -> Finding:
    """Return what it means for who is about a way: open, less where the aircraft may fly over them all."""
    beneath = [one for one in people if one.beneath] or people
    names = ", ".join(sorted({one.thing.called for one in beneath}))
    why = f"leads over {names}, or within {over_ft(wide_m)} beside"
    if not beneath[0].beneath:
        own_m, nearest_m = case.plan.own_people_distance_m, min(one.away_m for one in people)
        wanted = "what fails there may come, whichever way it turns" if own_m is None else "you want"
        why = f"passes {room_ft(nearest_m)} beside {names}: nearer than {wanted}"
    found = _finding(case, way, Mark.UNKNOWN, why)
    by_law = [by_category(case, one.thing, found, sustained=one.stays) for one in people]
    return next((one for one in by_law if one.mark is Mark.UNKNOWN), by_law[0])


def _struck(case: Case, mapped: Mapped, way: UndrawnWay, wide_m: float) -> str:
    """Return what of known height a straight way would strike that much aside, '' if nothing."""
    structures = _standing_near(mapped, way, wide_m)
    known = obstacles_of(structures, mapped.frame)
    for k, one in enumerate(told_structures(structures)):
        radius_m = max(float(known.radius_m[k]), 0.1)
        spot = _about(way, shapely.buffer(shapely.Point(known.x_m[k], known.y_m[k]), radius_m), wide_m)
        if _lowest_m(way, spot) <= known.top_amsl_m[k]:
            return one.label
    cover = cover_of(case.plan, mapped.frame, _buildings_near(mapped, way, wide_m))
    for name, shape, height_m in zip(cover.names, cover.shapes, cover.height_m, strict=True):
        wide = _about(way, shape, wide_m)
        if _lowest_m(way, wide, over_ground=True) <= height_m:
            return name
    return ""


def _about(way: UndrawnWay, shape: BaseGeometry, wide_m: float) -> BaseGeometry:
    """Return a shape grown by so much; beside launch or landing point itself whoever stands there sees it."""
    # Nearly all lie far off: to grow each of them takes as long as all other rules together.
    if wide_m <= 0.0 or not shapely.dwithin(shape, way.line, wide_m + _SLACK_M):
        return shape
    there = shapely.buffer(shapely.Point(way.line.coords[0]), 2 * wide_m)
    return shapely.union(shape, shapely.difference(shapely.buffer(shape, wide_m), there))


def _under_wires(case: Case, mapped: Mapped, way: UndrawnWay) -> str:
    """Return the mast under whose cone of wires a straight way leads, '' if none.

    Where the drawn flight is under it at the other end of the way, that is told of it.
    """
    places = way.places(way.shares)
    for cone in cones_in_box(case.plan, mapped, way.line.bounds):
        aside_m = np.hypot(places[:, 0] - cone.x_m, places[:, 1] - cone.y_m)
        with np.errstate(invalid="ignore"):
            under = (aside_m < cone.reach_m) & ~(way.planned_amsl_m > cone.wire_top_amsl_m(aside_m))
        if under.any() and not under[-1]:
            return cone.mast.label
    return ""


def _standing_near(mapped: Mapped, way: UndrawnWay, wide_m: float) -> list[Structure]:
    """Return the structures that may stand so near a way, each as far off as its record may be."""
    west_m, south_m, east_m, north_m = way.line.bounds
    by_m = wide_m + 1.0
    box_m = west_m - by_m, south_m - by_m, east_m + by_m, north_m + by_m
    near = mapped.obstacles.may_be_within(box_m, ASSUMED_HORIZONTAL_M)
    return [mapped.obstacles.structures[k] for k in near.tolist()]


def _buildings_near(mapped: Mapped, way: UndrawnWay, wide_m: float) -> list[Building]:
    """Return the charted buildings that lie so near a way; what is drawn over them leaves less of them."""
    shapes = np.array([one.shape for one in mapped.buildings], dtype=object)
    near = np.flatnonzero(shapely.dwithin(shapes, way.line, wide_m + _SLACK_M))
    return [mapped.buildings[k] for k in near.tolist()]


def _of_no_height(case: Case, mapped: Mapped, way: UndrawnWay, wide_m: float) -> str:
    """Return what of unknown height a way leads over, or closer beside than so much, '' if nothing."""
    standing = untold_structures(_standing_near(mapped, way, wide_m), mapped.frame)
    for name, shape in (*untold_cover(case.plan, mapped.frame), *standing):
        if lines_near(shape, np.array([way.line]), wide_m)[0]:
            return name
    for one in left_of(_buildings_near(mapped, way, wide_m), case.plan, mapped.frame):
        if one.height_m is not None:
            continue
        if _lowest_m(way, _about(way, one.shape, wide_m), over_ground=True) < CHARTED_AT_MOST_M:
            return one.name
    return ""


def _lowest_m(way: UndrawnWay, shape: shapely.Geometry, *, over_ground: bool = False) -> float:
    """Return how low a way comes over a shape [m AMSL, or above ground]; inf where it does not."""
    if not shapely.intersects(way.line, shape):
        return float("inf")
    there = way.over(shapely.intersection(way.line, shape))
    height_m = way.planned_amsl_m[there] - (way.ground_amsl_m[there] if over_ground else 0.0)
    return float(np.fmin.reduce(height_m, initial=np.inf))


def _finding(case: Case, way: UndrawnWay, mark: Mark, why: str) -> Finding:
    assert case.mapped is not None
    return Finding(
        rule="undrawn-way-over",
        mark=mark,
        basis=Basis.SAFETY,
        title=f"What is on the way {way.words}",
        message=f"It is {along(way.line.length)} long, not drawn, and {why}. Only what is drawn is judged.",
        citation=COMMON_PRACTICE,
        remedy=f"{way.cure}, clear of them",
        place=case.mapped.frame.xy_to_place(*way.line.coords[0]),
        numbers={"length_m": way.line.length},
    )


RULES = (people_on_the_way,)
