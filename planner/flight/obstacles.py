"""Structures as obstacles: grown by what their records may be wrong."""

from collections.abc import Iterable, Iterator
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.seen_from_hub import SeenFromHub
from planner.geo.frame import LocalFrame
from planner.units import FOOT_M
from planner.world.structures import Structure

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Taken where a record states no accuracy: its horizontal and vertical code in the middle of the scale.
ASSUMED_HORIZONTAL_M: Final = 250 * FOOT_M
ASSUMED_VERTICAL_M: Final = 50 * FOOT_M
_LEAST_RADIUS_M: Final = 0.1


@attrs.frozen(eq=False)
class Obstacles:
    """Structures in the plane, arrays (s,).

    `top_amsl_m` is grown by the vertical, `radius_m` is the horizontal error.
    `untold` names those whose top is unknown: nothing is said about them.
    """

    keys: tuple[str, ...]
    x_m: Floats
    y_m: Floats
    top_amsl_m: Floats
    radius_m: Floats
    untold: tuple[str, ...] = ()

    def __len__(self) -> int:
        """Return the number of structures with a top."""
        return len(self.keys)


def told_structures(structures: Iterable[Structure]) -> list[Structure]:
    """Return standing structures whose top is known, in the order of their keys."""
    told = (one for one in structures if not one.dismantled and one.top_amsl_m is not None)
    return sorted(told, key=lambda one: one.key)


def obstacles_of(structures: Iterable[Structure], frame: LocalFrame) -> Obstacles:
    """Return standing structures as obstacles, in the order of `told_structures`."""
    structures = tuple(structures)
    told = told_structures(structures)
    lon_deg = np.array([one.place.lon_deg for one in told], dtype=float)
    lat_deg = np.array([one.place.lat_deg for one in told], dtype=float)
    x_m, y_m = frame.forward(lon_deg, lat_deg) if told else (np.empty(0), np.empty(0))
    return Obstacles(
        keys=tuple(one.key for one in told),
        x_m=x_m,
        y_m=y_m,
        top_amsl_m=np.array([_top_m(one) for one in told], dtype=float),
        radius_m=np.array(
            [_error(one.horizontal_error_m, ASSUMED_HORIZONTAL_M) for one in told], dtype=float
        ),
        untold=tuple(sorted(one.key for one in structures if not one.dismantled and one.top_amsl_m is None)),
    )


def untold_structures(
    structures: Iterable[Structure], frame: LocalFrame
) -> Iterator[tuple[str, BaseGeometry]]:
    """Yield what standing structures of unknown top are called, and where they may be in the plane."""
    for one in structures:
        if one.top_amsl_m is None and not one.dismantled:
            spot = shapely.Point(frame.place_to_xy(one.place))
            # A circle of no radius is no place at all: nothing would ever be near it.
            radius_m = max(_error(one.horizontal_error_m, ASSUMED_HORIZONTAL_M), _LEAST_RADIUS_M)
            yield one.label, shapely.buffer(spot, radius_m)


def _top_m(one: Structure) -> float:
    return (one.top_amsl_m or 0.0) + _error(one.vertical_error_m, ASSUMED_VERTICAL_M)


def _error(stated_m: float | None, assumed_m: float) -> float:
    return assumed_m if stated_m is None else stated_m


def least_clearance_m(
    starts: tuple[Floats, Floats],
    hub: tuple[float, float],
    level_amsl_m: Floats,
    around: tuple[Obstacles, float],
) -> tuple[Floats, NDArray[np.int64]]:
    """Return, per straight level way (n,) to a hub, the least height over obstacles [m], and which one.

    `around` is the obstacles and the horizontal distance within which one
    counts, its own radius added. inf and -1 where none is so near.
    """
    obstacles, margin_m = around
    x_m, y_m = starts
    least, which = np.full(len(x_m), np.inf), np.full(len(x_m), -1)
    along_x, along_y = hub[0] - x_m, hub[1] - y_m
    square = np.maximum(along_x**2 + along_y**2, 1e-12)
    reach = obstacles.radius_m + margin_m
    for k, way in SeenFromHub.ways(hub, x_m, y_m).near(obstacles.x_m, obstacles.y_m, reach):
        away_x, away_y = obstacles.x_m[k] - x_m[way], obstacles.y_m[k] - y_m[way]
        share = np.clip((away_x * along_x[way] + away_y * along_y[way]) / square[way], 0.0, 1.0)
        apart = np.hypot(away_x - share * along_x[way], away_y - share * along_y[way])
        met = apart <= reach[k]
        k, way = k[met], way[met]
        keep_lowest((least, which), way, level_amsl_m[way] - obstacles.top_amsl_m[k], k)
    return least, which


def keep_lowest(
    found: tuple[Floats, NDArray[np.int64]], rows: Ints, clearance_m: Floats, named: Ints
) -> None:
    """Put into the least clearances (n,) and what they are over, what some rows come lower over (p,).

    A row may be there several times; of equal ones that counts which is there already, then the first named.
    """
    least, which = found
    order = np.lexsort((named, clearance_m, rows))
    first = order[np.flatnonzero(np.diff(rows[order], prepend=-1))]
    lower = first[clearance_m[first] < least[rows[first]]]
    least[rows[lower]], which[rows[lower]] = clearance_m[lower], named[lower]
