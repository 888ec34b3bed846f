"""How high a way that is not drawn would be, held against the limit there: raised only where it is raised."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.ceiling.open_limit import OpenLimit, open_limit
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.undrawn import UndrawnWay, launch_ground_m
from planner.rules.words import along, over_ft
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way

Floats = NDArray[np.float64]

_BESIDE_M = 0.1
"""As close beside an edge what is beyond it is asked of: the limit leaps there."""


@attrs.frozen
class OnWay:
    """What a straight way meets, in words, and how far from its end on the ground [m]."""

    why: str
    at_m: float


def met_at_its_height(case: Case, mapped: Mapped, way: UndrawnWay) -> OnWay | None:
    """Return what a straight way meets between its ends: unknown ground apart, the ground or the limit.

    A path that is itself above the limit where the way ends is judged by the rules on height.
    """
    shares = _shares(mapped, way)
    samples = sample_way(mapped, way.places(shares), way.height_amsl_m(shares))
    at_m = shares * way.line.length
    agl_m = samples.planned_amsl_m - samples.ground_amsl_m
    if (agl_m < -TOLERANCE_M).any():
        return OnWay("flown straight it would meet the ground", float(at_m[int(np.argmin(agl_m))]))
    limit = open_limit(samples, case.plan, mapped, launch_m=launch_ground_m(case))
    with np.errstate(invalid="ignore"):
        over_m = samples.planned_amsl_m - limit.amsl_m
        high = over_m > TOLERANCE_M
    if not high.any() or high[-1]:
        return None
    worst = int(np.nanargmax(over_m))
    return OnWay(_too_high(limit, samples, worst, over_m, at_m), float(at_m[worst]))


def over_in_column(case: Case, mapped: Mapped, way: UndrawnWay) -> str:
    """Return by how much a way straight up or down is above the limit before its end, '' if nowhere.

    An airspace that lifts the limit does so from its floor on: the climb to a shelf passes what is below.
    """
    heights_m = way.height_amsl_m(way.shares)
    one = sample_way(mapped, np.asarray(way.line.coords)[-1:, :2], heights_m[-1:])
    n = len(heights_m)
    samples = attrs.evolve(
        one,
        x_m=np.repeat(one.x_m, n),
        y_m=np.repeat(one.y_m, n),
        ground_amsl_m=np.repeat(one.ground_amsl_m, n),
        lowest_ground_amsl_m=np.repeat(one.lowest_ground_amsl_m, n),
        planned_amsl_m=heights_m,
        flown_from_amsl_m=heights_m,
    )
    limit = open_limit(samples, case.plan, mapped, launch_m=launch_ground_m(case))
    with np.errstate(invalid="ignore"):
        over_m = samples.planned_amsl_m - limit.amsl_m
        high = over_m > TOLERANCE_M
    if not high.any() or high[-1]:
        return ""
    worst = int(np.nanargmax(over_m))
    agl_m = float(samples.planned_amsl_m[worst] - samples.ground_amsl_m[worst])
    return (
        f"it would be up to {over_ft(float(over_m[worst]))} higher than the limit there, {over_ft(agl_m)} "
        "above ground"
    )


def _too_high(limit: OpenLimit, samples: WaySamples, worst: int, over_m: Floats, at_m: Floats) -> str:
    plain = limit.column[worst] == -1 and not limit.permitted[worst]
    agl_m = float(samples.planned_amsl_m[worst] - samples.ground_amsl_m[worst])
    what = "400 ft above the ground" if plain else "the limit there"
    return (
        f"flown straight it would be {over_ft(float(over_m[worst]))} higher than {what}: "
        f"{over_ft(agl_m)} above ground, {along(float(at_m[worst]))} from its end on the ground"
    )


def _shares(mapped: Mapped, way: UndrawnWay) -> Floats:
    """Return the way's samples, and such as lie just within and without each edge that it crosses."""
    beside, found = _BESIDE_M / way.line.length, [way.shares]
    for column in map(int, mapped.outlines.columns_near(np.array(way.line.bounds))):
        met = shapely.intersection(shapely.boundary(mapped.outlines.polygon(column)), way.line)
        for corner in shapely.get_coordinates(met):
            share = way.line.project(shapely.Point(corner), normalized=True)
            found.append(np.array([share - beside, share + beside]))
    shares = np.unique(np.concatenate(found))
    return shares[(shares >= 0.0) & (shares <= 1.0)]
