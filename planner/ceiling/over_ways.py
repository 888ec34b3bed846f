"""The ceiling over places that are flown through off the planned path, such as a way home."""

import math
from collections.abc import Mapping

import attrs
import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.blocks import Block, blocks_of
from planner.ceiling.evaluate import Scene
from planner.ceiling.known import where_known
from planner.ceiling.limits import Ceiling, ceiling_of
from planner.ceiling.open_limit import open_limit, raising_structures
from planner.ceiling.places import Places, places_at
from planner.permission.entries import is_active
from planner.permission.inquiry import inquired_of
from planner.permission.need import Subject
from planner.permission.routes import TOLERANCE_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION
from planner.world.outlines import Shape

Floats = NDArray[np.float64]

_ASKED_FOR = (Subject.AIRSPACE, Subject.AREA_CLOSED_BY_AGENCY)


@attrs.frozen(eq=False)
class _FlownPlaces(Places):
    """Places that are flown through at given heights (n,) [m AMSL]."""

    flown_amsl_m: Floats

    @property
    def planned_amsl_m(self) -> Floats:
        """Height at which each place is flown through [m AMSL]."""
        return self.flown_amsl_m

    @property
    def flown_from_amsl_m(self) -> Floats:
        """The same: nothing below is flown through."""
        return self.flown_amsl_m


@attrs.frozen(eq=False)
class OverWays:
    """What is allowed over places (n,) that are flown through at given heights.

    Parameters
    ----------
    ceiling : the ceiling and what sets it; NaN where not known.
    from_ground : whether it is the ground: nothing is open.
    asked : column of the airspace there of which only the authority can say whether it may be entered, and
        that no answer on record opens at that height; -1 for none.
    above_m : how far above what is open beneath it [m]: inf where it begins at the ground, -inf for none.
    wanting : column of the airspace there whose permission the plan needs and does not hold yet; -1 for none.
        It closes nothing here: that it has to be asked for is told of the flight itself.
    above_asked_m : how far above the height that the plan needs there [m], -inf for none.
    most_above_asked_m : by column of each airspace to ask for, the most of that over all places [m]. Of
        several that overlap each has its own.
    """

    ceiling: Ceiling
    from_ground: NDArray[np.bool_]
    asked: NDArray[np.int64]
    above_m: Floats
    wanting: NDArray[np.int64]
    above_asked_m: Floats
    most_above_asked_m: Mapping[int, float] = attrs.field(factory=dict)


def over_ways(scene: Scene, x_m: Floats, y_m: Floats, amsl_m: Floats) -> OverWays:
    """Return what is allowed over places (n,) flown through at heights.

    With the permissions on record, each for the airspace that the plan uses.
    """
    asked, above_m = np.full(len(x_m), -1, dtype=np.int64), np.full(len(x_m), -np.inf)
    wanting, above_asked_m = asked.copy(), above_m.copy()
    if not len(x_m):
        nothing = np.zeros(0, dtype=bool)
        none = Ceiling(np.empty(0), np.empty(0, dtype=np.int64), nothing)
        return OverWays(none, nothing, asked, above_m, wanting, above_asked_m)
    places, blocks = _blocks_at(scene, x_m, y_m, amsl_m)
    limit = open_limit(places, scene.plan, scene.mapped, launch_m=places.launch_ground_amsl_m)
    asked_agl_m = needed_agl_m(scene)
    most_m: dict[int, float] = {}
    for block in blocks:
        if block.asked_about:
            over_m = np.where(block.holds(amsl_m), amsl_m - block.low_m, -np.inf)
            asked = np.where(over_m > above_m, block.column, asked)
            above_m = np.fmax(above_m, over_m)
        if (needed_m := asked_agl_m.get(block.column)) is not None:
            over_m = np.where(block.holds(amsl_m), amsl_m - places.lowest_ground_amsl_m - needed_m, -np.inf)
            wanting = np.where(over_m > above_asked_m, block.column, wanting)
            above_asked_m = np.fmax(above_asked_m, over_m)
            most_m[block.column] = float(np.fmax.reduce(over_m, initial=-np.inf))
    shut = [block for block in blocks if block.column not in asked_agl_m]
    settled = ceiling_of(places, limit, [block for block in shut if not block.unsettled])
    ceiling = where_known(_at_most(settled, ceiling_of(places, limit, shut), amsl_m), places, scene.mapped)
    with np.errstate(invalid="ignore"):
        from_ground = np.asarray(ceiling.amsl_m <= places.ground_amsl_m)
    return OverWays(ceiling, from_ground, asked, above_m, wanting, above_asked_m, most_m)


def _at_most(settled: Ceiling, ceiling: Ceiling, amsl_m: Floats) -> Ceiling:
    """Return the ceiling: the settled one where a way is above that, whatever comes of what is not."""
    with np.errstate(invalid="ignore"):
        over = np.isnan(ceiling.amsl_m) & (amsl_m > settled.amsl_m + TOLERANCE_M)
    return Ceiling(
        np.where(over, settled.amsl_m, ceiling.amsl_m),
        np.where(over, settled.column, ceiling.column),
        np.where(over, settled.permitted, ceiling.permitted),
    )


def needed_agl_m(scene: Scene) -> dict[int, float]:
    """Return, by column, the height above ground [m] that the plan needs in airspace it has to ask for yet.

    Of its agency, too. NaN where that height is not known.
    """
    return {
        column: math.nan if use.need.asked_agl_m is None else use.need.asked_agl_m
        for use in scene.uses
        if use.need.subject in _ASKED_FOR and not use.need.recorded
        for column in use.volumes
    }


def met_straight_up(
    scene: Scene, x_m: Floats, y_m: Floats, from_m: Floats, to_m: Floats
) -> tuple[NDArray[np.int64], Floats]:
    """Return which ways straight up or down (n,) pass through what is closed, and how high in it they come.

    `from_m` below `to_m` [m AMSL]. One index and height [m AMSL] for each airspace that one passes
    through: what lies between its ends and at neither of them, too.
    """
    which, heights_m = [np.empty(0, dtype=np.int64)], [np.empty(0)]
    if len(x_m):
        for block in _blocks_at(scene, x_m, y_m, to_m)[1]:
            met = np.flatnonzero(block.meets(from_m, to_m))
            which.append(met)
            heights_m.append(np.minimum(block.high_m, to_m)[met])
    return np.concatenate(which), np.concatenate(heights_m)


def met_beneath(
    scene: Scene, x_m: Floats, y_m: Floats, from_m: Floats, to_m: Floats
) -> list[tuple[Block, NDArray[np.bool_]]]:
    """Return what is closed, or open only by the authority's word, that ways straight down (n,) pass through.

    `from_m` below `to_m` [m AMSL]. What the plan has to ask for anyway is not among it.
    """
    if not len(x_m) or not outlines_about(scene, x_m, y_m)[0]:
        return []
    anyway = needed_agl_m(scene)
    blocks = _blocks_at(scene, x_m, y_m, to_m)[1]
    found = [(block, block.meets(from_m, to_m)) for block in blocks if block.column not in anyway]
    return [(block, met) for block, met in found if met.any()]


def outlines_about(scene: Scene, x_m: Floats, y_m: Floats) -> tuple[list[BaseGeometry], list[Shape]]:
    """Return the outlines about places of what may be closed or not known, and of all that sets a ceiling.

    The second are the first, and those within which records, sites and structures hold. [m in the plane]
    """
    mapped = scene.mapped
    box = np.array([np.nanmin(x_m), np.nanmin(y_m), np.nanmax(x_m), np.nanmax(y_m)])
    near = [int(column) for column in mapped.outlines.columns_near(box) if int(column) not in mapped.cells]
    closing = {column for column in near if column not in mapped.airspace or _may_close(scene, column)}
    granting = mapped.sites.keys() | mapped.structures.keys() | set(mapped.record_columns.values())
    idle = mapped.structures.keys() - {column for column, _ in raising_structures(scene.plan, mapped)}
    return (
        [mapped.outlines.polygon(column) for column in near if column in closing - granting],
        [mapped.outlines.shapes[column] for column in near if column in closing - idle],
    )


def _may_close(scene: Scene, column: int) -> bool:
    volume, plan = scene.mapped.airspace[column], scene.plan
    kinds = FORBIDDEN_WHILE_ACTIVE | NEEDS_AUTHORIZATION
    return (volume.kind in kinds or inquired_of(volume, plan.purpose)) and is_active(volume, plan.window)


def _blocks_at(scene: Scene, x_m: Floats, y_m: Floats, amsl_m: Floats) -> tuple[_FlownPlaces, list[Block]]:
    there = places_at(scene, x_m, y_m)
    launch_m = there.launch_ground_amsl_m
    places = _FlownPlaces(there.ground_amsl_m, there.lowest_ground_amsl_m, launch_m, there.columns, amsl_m)
    return places, blocks_of(scene.uses, places, scene.plan, scene.mapped, launch_m=launch_m, asking=False)
