"""Over which ground returns from anywhere in a flying area lead, and how high.

From an area the link is lost anywhere, so ways home lead over everything between it and home: no choice of
ways meets every pit and every knoll there. So the ground itself is asked, and outlines: each node and each
edge of what lies low, the highest of what lies high.
"""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.area_falls import edges_of
from planner.flight.failsafe import return_level_amsl_m
from planner.flight.return_places import ReturnPlaces
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.shape_places import nodes_in, pieces_between, places_on_edges
from planner.track.track import Track
from planner.world.lowered import lowered_about

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_HIGHEST: Final = 300
"""So many places are all asked; of more those that may be highest above the ground between outlines."""
_MOST: Final = 3_000
_AT_ONCE: Final = 512
_SQUARES_EITHER_WAY: Final = 24
_ALIKE_M: Final = 1e-6
_OVERALL: Final = 24
_SQUARES: Final = 8
"""Of high ground so many nodes are asked, and the highest of so many squares either way: own choice."""
_ROUNDING_M: Final = 0.01


@attrs.frozen(eq=False)
class AreaReturns:
    """Returns from anywhere in an area.

    `places` are those from which ways home are laid out; `home` where they lead to [m in the plane], `on_m`
    how far each flies on first [m].
    """

    area: AreaSamples
    places: Track
    action: LinkLoss
    home: tuple[float, float]
    on_m: float


def ways_to(footprint: BaseGeometry, spot: tuple[float, float]) -> BaseGeometry:
    """Return what the straight ways from everywhere in an area to a spot lead over, the area included."""
    edges = edges_of(footprint)
    three = np.hstack([edges, np.tile(spot, (len(edges), 1))]).reshape(-1, 3, 2)
    fans = shapely.union_all(shapely.convex_hull(shapely.linestrings(three)))
    return shapely.union(footprint, fans)


def led_over(returns: AreaReturns) -> BaseGeometry:
    """Return what these returns lead over, what they fly on over included."""
    footprint = returns.area.footprint
    about = shapely.buffer(footprint, returns.on_m) if returns.on_m > 0.0 else footprint
    return ways_to(about, returns.home)


def over_lowest_of_area(
    mapped: Mapped, returns: AreaReturns, room_m: float, closing: Sequence[BaseGeometry]
) -> ReturnPlaces:
    """Return places over which returns from an area may be more than `room_m` above the ground [m].

    And, at any height, those on either side of the edges of what may be closed. Each as high as the highest
    return over it; it belongs to the nearest of the places from which ways are laid out.
    """
    levels_m = _levels(returns)
    if mapped.ground is None or not len(returns.places) or np.isnan(levels_m).all():
        return ReturnPlaces.none()
    over = led_over(returns)
    edges = [*places_on_edges(mapped.ground, over, closing)]
    about = np.array(over.bounds)
    near = [int(one) for one in mapped.outlines.columns_near(about) if int(one) not in mapped.cells]
    others = places_on_edges(mapped.ground, over, (mapped.outlines.polygon(one) for one in near))
    low = np.concatenate([nodes_in(mapped.ground, over), *others])
    deep = _higher_than(mapped, returns, low, levels_m, room_m)
    found = np.concatenate([*edges, deep])
    high_m = _level_over(returns, levels_m, found)
    spots = shapely.STRtree(np.asarray(shapely.points(returns.places.x_m, returns.places.y_m), dtype=object))
    nearest = np.asarray(spots.nearest(shapely.points(found)), dtype=np.int64)
    return ReturnPlaces(nearest, found[:, 0], found[:, 1], high_m)


def highest_under(mapped: Mapped, returns: AreaReturns, clear_by_m: float) -> Floats:
    """Return nodes (n, 2) of the highest ground [m] that a return may clear by less, all over its ways."""
    levels_m, ground = _levels(returns), mapped.ground
    if ground is None or np.isnan(levels_m).all():
        return np.empty((0, 2))
    nodes = nodes_in(ground, led_over(returns))
    ground_m = ground.ground(*nodes.T)
    high = ground_m > float(np.fmin.reduce(levels_m)) - clear_by_m
    nodes, ground_m = np.asarray(nodes[high]), ground_m[high]
    if not len(nodes):
        return nodes
    order = np.argsort(-ground_m, kind="stable")
    least = nodes.min(axis=0)
    square = np.floor((nodes - least) / np.maximum(np.ptp(nodes, axis=0), 1.0) * _SQUARES)[order]
    highest = np.unique(square, axis=0, return_index=True)[1]
    return np.asarray(nodes[order[np.union1d(highest, np.arange(min(_OVERALL, len(nodes))))]])


def _levels(returns: AreaReturns) -> Floats:
    """Return how high a return from each place of the area leads home (n,) [m AMSL]."""
    area, action = returns.area, returns.action
    if action.action is LinkLossAction.RETURN_HIGHEST:
        # It may have been anywhere in the area before.
        highest_m = np.fmax.reduce(area.planned_amsl_m) if len(area.x_m) else np.nan
        return np.full(len(area.x_m), highest_m)
    return return_level_amsl_m(action, area, area.planned_amsl_m)


def _higher_than(
    mapped: Mapped, returns: AreaReturns, places: Floats, levels_m: Floats, room_m: float
) -> Floats:
    """Return those of some places over which a return may be so high above the lowest ground.

    Of each piece between outlines the likeliest, all that may be higher above the ground than the highest of
    those, and those over which returns lead highest.
    """
    ground = mapped.ground
    assert ground is not None
    if not len(places):
        return places
    box = (*places.min(axis=0).tolist(), *places.max(axis=0).tolist())
    low_m, bound_m = lowered_about(ground, box).ground(*places.T), _bound_over(returns, levels_m, places)
    deep = bound_m - low_m > room_m
    places, low_m, bound_m = np.asarray(places[deep]), low_m[deep], bound_m[deep]
    if len(places) <= _HIGHEST:
        return places
    chosen = []
    for piece in pieces_between(mapped, places):
        most = piece[np.argsort(low_m[piece] - bound_m[piece], kind="stable")]
        first, rest = most[:_HIGHEST], most[_HIGHEST:]
        best_m = np.fmax.reduce(_level_over(returns, levels_m, places[first]) - low_m[first], initial=-np.inf)
        highest = piece[np.argsort(-bound_m[piece], kind="stable")][: _HIGHEST // 10]
        chosen += [first, highest, rest[bound_m[rest] - low_m[rest] > best_m + _ROUNDING_M][:_MOST]]
    return np.asarray(places[np.unique(np.concatenate(chosen))])


def _bound_over(returns: AreaReturns, levels_m: Floats, places: Floats) -> Floats:
    """Return no less than how high returns lead over each place (n,) [m AMSL]: by squares of the area."""
    known = np.flatnonzero(~np.isnan(levels_m))
    flown = np.column_stack([returns.area.x_m, returns.area.y_m])[known]
    side_m = max(float(np.ptp(flown, axis=0).max()) / _SQUARES_EITHER_WAY, _apart_m(returns))
    squares, own = np.unique(np.floor(flown / side_m), axis=0, return_inverse=True)
    most_m = np.full(len(squares), -np.inf)
    np.fmax.at(most_m, np.asarray(own).ravel(), levels_m[known])
    near = _may_lead_over(returns, (squares + 0.5) * side_m, places, side_m)
    return np.asarray(np.where(near, most_m, np.fmin.reduce(levels_m)).max(axis=1), dtype=float)


def _level_over(returns: AreaReturns, levels_m: Floats, places: Floats) -> Floats:
    """Return how high the highest return is that may lead over each place (n,) [m AMSL]."""
    most_m = float(np.fmax.reduce(levels_m))
    known = np.flatnonzero(~np.isnan(levels_m))
    if np.ptp(levels_m[known]) <= _ALIKE_M or not len(places):
        return np.full(len(places), most_m)
    order = known[np.argsort(-levels_m[known], kind="stable")]
    flown, high_m = np.column_stack([returns.area.x_m, returns.area.y_m])[order], levels_m[order]
    # Places of the area stand apart: the nearest counts in any case.
    tree = shapely.STRtree(np.asarray(shapely.points(flown), dtype=object))
    found = np.asarray(high_m[tree.nearest(shapely.points(places))], dtype=float)
    left = np.arange(len(places))
    for first in range(0, len(flown), _AT_ONCE):
        turn = slice(first, first + _AT_ONCE)
        near = _may_lead_over(returns, flown[turn], places[left], 0.0)
        met = near.any(axis=1)
        found[left[met]] = np.fmax(found[left[met]], high_m[turn][near[met].argmax(axis=1)])
        left = left[~met]
        if not len(left):
            break
    return found


def _may_lead_over(returns: AreaReturns, flown: Floats, places: Floats, spare_m: float) -> NDArray[np.bool_]:
    """Return whether a way home from about each of some spots may lead over each place (places, spots)."""
    away = places - np.array(returns.home)
    length_m = np.hypot(*away.T)
    unit = away / np.where(length_m > 0.0, length_m, 1.0)[:, None]
    out = flown - np.array(returns.home)
    along_m = unit @ out.T
    aside_m = np.abs(unit[:, :1] * out[:, 1] - unit[:, 1:] * out[:, 0])
    # Beyond the place, seen from home, it may lie on the way; before it only where it flew on to it.
    behind_m = np.maximum(length_m[:, None] - along_m, 0.0)
    apart_m = _apart_m(returns)
    near = np.hypot(aside_m, behind_m) <= returns.on_m + apart_m + spare_m + _ROUNDING_M
    return np.asarray(near | (length_m <= apart_m)[:, None])


def _apart_m(returns: AreaReturns) -> float:
    """Return how far apart places of the area may stand [m]: about a cell of the ground they are on."""
    area = returns.area
    west, south, east, north = area.footprint.bounds
    return float(np.hypot(east - west, north - south) / np.sqrt(max(len(area.x_m), 1)))
