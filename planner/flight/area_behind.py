"""Places of a flying area whose way home leads over what stands there: one is enough to tell."""

from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.area_places import LOW_M, only, repeated
from planner.flight.cover import Cover
from planner.flight.obstacles import Obstacles
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Just behind it, so that the way home leads over it as soon as it has begun.
_BEHIND_M: Final = 2.0
_FAR: Final = 1e5
_ON_A_RAY: Final = 33
_THROUGH: Final = (-0.95, 0.0, 0.95)
_ROUNDING_M: Final = 1e-3
_DECIMALS: Final = 6


@attrs.frozen
class Home:
    """Where returns lead, in the plane [m]."""

    x_m: float
    y_m: float


@attrs.frozen(eq=False)
class Reach:
    """How flights from an area come to other places: at its top or low, and how far on in the delay [m].

    `high`: nodes (n, 2) of high ground that their ways home may lead over.
    """

    ground: PlaneTerrain
    at_top: bool
    wait_m: float
    high: Floats = attrs.field(factory=lambda: np.empty((0, 2)))


def with_places_behind(
    places: Track, area: AreaSamples, home: Home, standing: tuple[Obstacles, Cover], reach: Reach
) -> Track:
    """Return places of an area, and for each thing that stands, or rises, some behind it as seen from home.

    The nearest, the last and the one on the lowest ground; each as low as a flight at those heights above the
    area may come there.
    """
    about = shapely.buffer(area.footprint, reach.wait_m) if reach.wait_m > 0.0 else area.footprint
    spots = [_centres(about, home, standing), (reach.high, np.zeros(len(reach.high)))]
    behind = [places_behind(about, home, *one) for one in spots]
    found = np.concatenate([one[_chosen(of, reach.ground.ground(*one.T))] for one, of in behind])
    if not len(found) or not len(places):
        return places
    # Three ways lead over one node: they are the same.
    found = found[np.sort(np.unique(found.round(_DECIMALS), axis=0, return_index=True)[1])]
    here = np.arange(len(places))
    rows = np.append(here, np.zeros(len(found), dtype=np.int64))
    x_m, y_m = np.append(places.x_m, found[:, 0]), np.append(places.y_m, found[:, 1])
    more = repeated(places, rows, x_m, y_m, reach.ground)
    low_m = _lowest_m(area, found, reach, more.ground_amsl_m[len(places) :])
    more = attrs.evolve(more, planned_amsl_m=np.append(places.planned_amsl_m, low_m))
    # What flies into the ground on the way there is told by itself.
    with np.errstate(invalid="ignore"):
        flies = ~(more.planned_amsl_m <= more.ground_amsl_m)
    return only(more, flies | (np.arange(len(more)) < len(places)))


def _lowest_m(area: AreaSamples, found: Floats, reach: Reach, ground_m: Floats) -> Floats:
    """Return how low a flight as high above each place of the area may come to other places [m AMSL]."""
    flown_m = area.planned_amsl_m if reach.at_top else area.ground_amsl_m + LOW_M
    over_m = flown_m - area.ground_amsl_m
    # What is as high above the ground everywhere is so here, too; else it is as high as at the next place.
    alike = bool(np.ptp(over_m) <= np.ptp(flown_m))
    apart_m = np.hypot(area.x_m - found[:, :1], area.y_m - found[:, 1:])
    near_m = np.maximum(apart_m.min(axis=1), reach.wait_m)
    within = apart_m <= near_m[:, None] + _ROUNDING_M
    low_m = np.where(within, flown_m, np.inf).min(axis=1)
    inside = np.asarray(shapely.intersects(area.footprint, shapely.points(found)))
    own_m = np.minimum(low_m, ground_m + np.max(over_m))
    return np.asarray(np.where(inside & alike, own_m, low_m), dtype=np.float64)


def places_behind(
    footprint: BaseGeometry, home: Home, centres: Floats, radius_m: Floats
) -> tuple[Floats, Ints]:
    """Return places (n, 2) of an area behind each of some discs, seen from home, and of which (n,).

    They come from the nearest to the last: both, and some between.
    """
    away = centres - (home.x_m, home.y_m)
    length_m = np.hypot(away[:, 0], away[:, 1])
    apart = length_m > 0.0
    if not apart.any():
        return np.empty((0, 2)), np.empty(0, dtype=np.int64)
    here, unit = np.array([home.x_m, home.y_m]), away[apart] / length_m[apart, None]
    # Through the middle of each and near both of its sides: only one of them may lead on into the area.
    aside = np.column_stack([-unit[:, 1], unit[:, 0]]) * radius_m[apart, None]
    through = np.concatenate([away[apart] + share * aside for share in _THROUGH])
    unit = through / np.hypot(through[:, 0], through[:, 1])[:, None]
    from_m = np.tile((length_m + radius_m)[apart, None] + _BEHIND_M, (len(_THROUGH), 1))
    rays = shapely.linestrings(np.stack([here + unit * from_m, here + unit * (from_m + _FAR)], axis=1))
    behind = shapely.intersection(rays, footprint)
    corners, of = shapely.get_coordinates(behind, return_index=True)
    along_m = np.hypot(*(corners - here).T)
    which = np.unique(of)
    near_m, last_m = (np.full(len(unit), start) for start in (np.inf, -np.inf))
    np.minimum.at(near_m, of, along_m)
    np.maximum.at(last_m, of, along_m)
    shares = np.linspace(0.0, 1.0, _ON_A_RAY)
    at_m = near_m[which, None] + (last_m - near_m)[which, None] * shares
    places = here + unit[which, None, :] * at_m[:, :, None]
    found, owner = places.reshape(-1, 2), np.repeat(which, _ON_A_RAY)
    inside = np.asarray(shapely.dwithin(footprint, shapely.points(found), _ROUNDING_M))
    return found[inside], owner[inside]


def _chosen(of: Ints, ground_m: Floats) -> Ints:
    """Return of the places of each ray the first, the last and the one on the lowest ground."""
    by_height = np.lexsort([np.nan_to_num(ground_m, nan=np.inf), of])
    first = np.unique(of, return_index=True)[1]
    last = len(of) - 1 - np.unique(of[::-1], return_index=True)[1]
    lowest = by_height[np.unique(of[by_height], return_index=True)[1]]
    return np.unique(np.concatenate([first, last, lowest]))


def _centres(footprint: BaseGeometry, home: Home, standing: tuple[Obstacles, Cover]) -> tuple[Floats, Floats]:
    """Return where what may be in the way stands (n, 2), between home and the area or in it, and how wide."""
    obstacles, cover = standing
    between = shapely.convex_hull(shapely.union_all([footprint, shapely.Point(home.x_m, home.y_m)]))
    shapely.prepare(between)
    masts = np.column_stack([obstacles.x_m, obstacles.y_m])
    near = np.asarray(shapely.distance(shapely.points(masts), between)) <= obstacles.radius_m
    shapes = cover.shapes[np.asarray(shapely.intersects(cover.shapes, between), dtype=bool)]
    met = np.asarray(shapely.intersection(shapes, between), dtype=object)
    inside = np.asarray(shapely.point_on_surface(met), dtype=object)
    wide_m = np.asarray(shapely.hausdorff_distance(inside, met), dtype=float)
    centres = np.vstack([masts[near], shapely.get_coordinates(inside)])
    return centres, np.concatenate([obstacles.radius_m[near], wide_m])
