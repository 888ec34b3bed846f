"""About a flying area: places over which what flies on may come too high, and how high it comes.

Ahead of its edge; over the area itself, too, where its top follows the ground.

A height above ground is another one over a pit, so every node of the ground counts, and every place at which
the ground bends on an edge. Of very many nodes those are asked that may be highest above their ground: a
bound of how high it comes over each of them says so.
"""

from collections.abc import Iterator
from typing import Final, cast

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.heights import AboveGround
from planner.rules.area_rims import from_rim, to_rim
from planner.rules.case import Case
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.shape_places import nodes_in, pieces_between, places_on_edges
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_MOST_NODES: Final = 12_000
"""So many nodes are all asked; of more the likeliest of each piece between outlines, and others."""
_LIKELIEST: Final = 300
_OTHERS: Final = 3_000
_NEGLIGIBLE_M: Final = 0.01
_SQUARES: Final = 4.0
"""A square of places that are asked together is so much narrower than it reaches."""
_COARSE: Final = 8.0
"""And one in which no more than the highest place is kept for a bound."""
_AT_ONCE: Final = 512
_NARROWEST_M: Final = 0.5
_ROUNDING: Final = 1e-12


@attrs.frozen(eq=False)
class Ahead:
    """Places (n, 2) ahead of an area in the plane [m], and how high what flies on comes there [m AMSL]."""

    places: Floats
    high_m: Floats


def ahead_of(case: Case, mapped: Mapped, samples: AreaSamples, far_m: float) -> Ahead:
    """Return places up to so far ahead of an area, or over it as well: those of the lowest ground, too."""

    def found() -> Ahead:
        strip: BaseGeometry = shapely.buffer(samples.footprint, far_m)
        if _follows_ground(case) is None:
            # As high over the area itself as it is flown there.
            strip = shapely.difference(strip, samples.footprint)
        places = np.concatenate([*_edges(mapped, strip), _nodes(mapped, samples, strip, far_m)])
        high_m = highest_within(samples, places, far_m)
        if (top_agl_m := _follows_ground(case)) is None:
            return Ahead(places, high_m)
        # What nobody knows stays so.
        high_m = np.maximum(high_m, from_rim(mapped, samples, top_agl_m, places, far_m))
        more, more_m = to_rim(mapped, samples, top_agl_m, far_m)
        return Ahead(np.concatenate([places, more]), np.concatenate([high_m, more_m]))

    # Of the same area and map, whatever has been found of the case since.
    known = samples.kept.get(("ahead of the area", far_m, _follows_ground(case)))
    if isinstance(known, tuple) and known[0] is mapped:
        return cast("Ahead", known[1])
    ahead = found()
    samples.kept["ahead of the area", far_m, _follows_ground(case)] = mapped, ahead
    return ahead


def _follows_ground(case: Case) -> float | None:
    """Return the area's top [m] if it counts from the ground: what flies on level from a hill leaves it."""
    area = case.plan.area
    return area.top.m if area is not None and isinstance(area.top, AboveGround) else None


def _edges(mapped: Mapped, strip: BaseGeometry) -> Iterator[Floats]:
    """Yield places on the strip's edge, and on either side of that of each outline in it."""
    columns = [] if strip.is_empty else mapped.outlines.columns_near(np.array(strip.bounds)).tolist()
    yield from places_on_edges(mapped.ground, strip, (mapped.outlines.polygon(one) for one in columns))


def _nodes(mapped: Mapped, samples: AreaSamples, strip: BaseGeometry, far_m: float) -> Floats:
    """Return the nodes of the ground in the strip; of those within its error beside, the nearest place."""
    ground, nodes = mapped.ground, nodes_in(mapped.ground, strip)
    if ground is None or len(nodes) <= _MOST_NODES:
        return nodes
    return nodes[_likeliest(mapped, ground, samples, nodes, far_m)]


def _likeliest(
    mapped: Mapped, ground: PlaneTerrain, samples: AreaSamples, nodes: Floats, far_m: float
) -> Ints:
    """Return of each piece between outlines the nodes that may be highest above the ground, and others."""
    low_m = ground.lowest(*nodes.T)
    bound_m = _bound(samples, nodes, far_m)
    with np.errstate(invalid="ignore"):
        depth_m = np.nan_to_num(bound_m - low_m, nan=-np.inf)
    chosen: list[Ints] = [np.arange(0, len(nodes), len(nodes) // _OTHERS + 1)]
    for piece in pieces_between(mapped, nodes):
        most = piece[np.argsort(-depth_m[piece], kind="stable")]
        first, last = most[:_LIKELIEST], most[-_LIKELIEST // 10 :]
        lowest = piece[np.argsort(low_m[piece], kind="stable")][: _LIKELIEST // 10]
        above_m = highest_within(samples, nodes[first], far_m) - low_m[first]
        best_m = float(np.fmax.reduce(above_m, initial=-np.inf))
        rest = most[_LIKELIEST:]
        # What may still be higher than the highest that is known.
        chosen += [first, last, lowest, rest[depth_m[rest] > best_m + _NEGLIGIBLE_M]]
    return np.unique(np.concatenate(chosen))


def _bound(samples: AreaSamples, nodes: Floats, far_m: float) -> Floats:
    """Return no less than how high it comes over each node [m AMSL], by squares of the plane."""
    known = np.flatnonzero(~np.isnan(samples.planned_amsl_m))
    if not len(known):
        return np.full(len(nodes), np.nan)
    side_m = max(far_m / _COARSE, _NARROWEST_M)
    # From a square's middle to what lies in it; from a sample to that of its square.
    spare_m = side_m / np.sqrt(2.0)
    flown = np.column_stack([samples.x_m, samples.y_m])[known]
    (at, own), (nodes_at, nodes_own) = _squares(flown, side_m), _squares(nodes, side_m)
    most_m = np.full(len(at), -np.inf)
    np.fmax.at(most_m, own, samples.planned_amsl_m[known])
    return _highest(_Flown.of(at, most_m), nodes_at, far_m + 2.0 * spare_m)[nodes_own]


def _squares(places: Floats, side_m: float) -> tuple[Floats, Ints]:
    """Return the middles of the squares in which places lie, and which of them each is in."""
    squares = np.floor(places / side_m).astype(np.int64)
    least = squares.min(axis=0)
    across = int(squares[:, 1].max() - least[1]) + 1
    # Told apart by one number each: to sort pairs takes many times as long.
    numbers, own = np.unique((squares - least) @ np.array([across, 1]), return_inverse=True)
    found = np.column_stack(np.divmod(numbers, across)) + least
    return (found + 0.5) * side_m, np.asarray(own).ravel()


def highest_within(samples: AreaSamples, places: Floats, far_m: float) -> Floats:
    """Return, per place, how high the area is flown so near to it [m AMSL], NaN where nobody knows."""
    if not len(places):
        return np.empty(0)
    flown = samples.kept.get("flown from above")
    if not isinstance(flown, _Flown):
        known = ~np.isnan(samples.planned_amsl_m)
        places_flown = np.column_stack([samples.x_m, samples.y_m])[known]
        flown = samples.kept["flown from above"] = _Flown.of(places_flown, samples.planned_amsl_m[known])
    return _highest(flown, places, far_m) if len(flown.planned_m) else np.full(len(places), np.nan)


@attrs.frozen(eq=False)
class _Flown:
    """Where it is flown (m, 2) and how high (m,) [m AMSL], the highest first; and where each is found."""

    places: Floats
    planned_m: Floats
    tree: shapely.STRtree

    @classmethod
    def of(cls, places: Floats, planned_m: Floats) -> "_Flown":
        order = np.argsort(-planned_m, kind="stable")
        tree = shapely.STRtree(np.asarray(shapely.points(places[order]), dtype=object))
        return cls(places[order], planned_m[order], tree)


def _highest(over: _Flown, places: Floats, far_m: float) -> Floats:
    """Return, per place, the greatest height of what is flown so near; by squares of places."""
    flown, planned_m, tree = over.places, over.planned_m, over.tree
    # Places of the area stand apart: the nearest counts in any case.
    nearest = tree.query_nearest(shapely.points(places), all_matches=False)[1]
    found = np.asarray(planned_m[nearest], dtype=float)
    side_m = max(far_m / _SQUARES, _NARROWEST_M)
    middles, own = _squares(places, side_m)
    by_square = np.argsort(own, kind="stable")
    groups = np.split(by_square, np.flatnonzero(np.diff(own[by_square])) + 1)
    for middle, group in zip(middles, groups, strict=True):
        about = np.sort(tree.query(shapely.box(*(middle - far_m - side_m), *(middle + far_m + side_m))))
        high_m = _first_within(flown[about], places[group], far_m, planned_m[about])
        found[group] = np.fmax(found[group], high_m)
    return found


def _first_within(flown: Floats, places: Floats, far_m: float, planned_m: Floats) -> Floats:
    """Return, per place, the height of the first of what is flown that is so near, -inf for none."""
    found, left = np.full(len(places), -np.inf), np.arange(len(places))
    far_square = far_m**2 * (1.0 + _ROUNDING)
    (flown_x, flown_y), (x_m, y_m) = flown.T, places.T
    for first in range(0, len(flown), _AT_ONCE):
        turn = slice(first, first + _AT_ONCE)
        east_m, north_m = flown_x[turn, None] - x_m[left], flown_y[turn, None] - y_m[left]
        near = east_m * east_m + north_m * north_m <= far_square
        met = near.any(axis=0)
        found[left[met]] = planned_m[turn][near[:, met].argmax(axis=0)]
        left = left[~met]
        if not len(left):
            break
    return found
