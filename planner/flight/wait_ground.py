"""Where what flies on until its action begins comes highest above the ground, and the places asked of it.

What is held against a height above the ground is met over the lowest ground: a few places of each way are
not enough, as a pit may lie between them and no other way lead over it.
"""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.flight.return_places import ReturnPlaces, cuts_of
from planner.flight.way_home import LossWays
from planner.world.lowered import lowered_about
from planner.world.outlines import Shape
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_WAITING: Final = np.linspace(0.0, 1.0, 4)
_A_CELL: Final = 2.0
_MOST_PLACES: Final = 150_000
_MOST_EXACT: Final = 40_000
_MOST_FINER: Final = 2_000
_WITHIN: Final = (0.005, 0.5, 0.995)
_FINER: Final = np.linspace(-1.0, 1.0, 17)


def places_of_waits(
    loss: LossWays, most: int, ground: PlaneTerrain | None, edges: Sequence[Shape] = (), room_m: float = 0.0
) -> ReturnPlaces:
    """Return places of what flies on for the delay, from where the link is lost on: of so many samples.

    Of every so-many-th, and those from which it rises most and highest; and where it is highest above the
    ground (`deepest_of_waits`). Places of one sample stand together, in the order in which they are flown.
    """
    chosen = _chosen(loss, most)
    waits = _Waits.of(loss, chosen)
    few = np.repeat(np.arange(len(chosen)), len(_WAITING)), np.tile(_WAITING, len(chosen))
    deep = _deepest(waits, ground, edges, room_m)
    owner, share = (np.concatenate(both) for both in zip(few, deep, strict=True))
    order = np.lexsort((share, owner))
    return waits.places(chosen, owner[order], share[order])


def deepest_of_waits(
    loss: LossWays, most: int, ground: PlaneTerrain | None, edges: Sequence[Shape], room_m: float
) -> ReturnPlaces:
    """Return where what flies on for the delay is highest above the ground, if higher than that.

    One place for each piece between two edges of outlines; of so many samples.
    """
    chosen = _chosen(loss, most)
    waits = _Waits.of(loss, chosen)
    return waits.places(chosen, *_deepest(waits, ground, edges, room_m))


def _chosen(loss: LossWays, most: int) -> Ints:
    count = len(loss.clearance_m)
    begins_m, ends_m = np.nan_to_num(loss.corner_amsl_m[:, :2], nan=-np.inf).T
    with np.errstate(invalid="ignore"):
        rises_m = np.nan_to_num(ends_m - begins_m, nan=-np.inf)
    every = np.arange(0, count, max(count // most, 1))
    return np.unique([*every, int(np.argmax(rises_m)), int(np.argmax(ends_m))])


@attrs.frozen(eq=False)
class _Waits:
    """Straight ways, both ends of each (n, 2): the plane [m] and height [m AMSL]."""

    x_m: Floats
    y_m: Floats
    amsl_m: Floats

    @classmethod
    def of(cls, loss: LossWays, chosen: Ints) -> "_Waits":
        """Return those of some samples."""
        return cls(*(axis[chosen, :2] for axis in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m)))

    def at(self, owner: Ints, share: Floats) -> tuple[Floats, Floats, Floats]:
        """Return places and heights at shares of some ways."""
        x_m, y_m, amsl_m = (
            axis[owner, 0] + (axis[owner, 1] - axis[owner, 0]) * share
            for axis in (self.x_m, self.y_m, self.amsl_m)
        )
        return x_m, y_m, amsl_m

    def places(self, chosen: Ints, owner: Ints, share: Floats) -> ReturnPlaces:
        """Return places at shares of some ways, of the samples `chosen`."""
        return ReturnPlaces(chosen[owner], *self.at(owner, share))


def _deepest(
    waits: _Waits, ground: PlaneTerrain | None, edges: Sequence[Shape], room_m: float
) -> tuple[Ints, Floats]:
    """Return of each piece which way, and at which share, is highest above the ground, if over `room_m`."""
    length_m = np.hypot(*(axis[:, 1] - axis[:, 0] for axis in (waits.x_m, waits.y_m)))
    rows = np.flatnonzero((length_m > 0.0) & np.isfinite(waits.amsl_m).all(axis=1))
    if ground is None or not len(rows):
        return np.empty(0, dtype=np.int64), np.empty(0)
    ends = np.stack([waits.x_m[rows], waits.y_m[rows]], axis=2)
    cut_of, cut_at = cuts_of(np.asarray(shapely.linestrings(ends), dtype=object), edges)
    cuts = np.sort(np.concatenate([2.0 * rows[cut_of] + cut_at, 2.0 * rows - 0.5]))
    cell_m = ground.cell_m(float(ends[..., 0].mean()), float(ends[..., 1].mean()))
    step_m = max(cell_m / _A_CELL, float(length_m[rows].sum()) / _MOST_PLACES)
    owner, share = _close_together(rows, length_m, step_m, cuts)
    above_m = _above_m(waits, ground, owner, share)
    piece = np.searchsorted(cuts, 2.0 * owner + share)
    # Of each piece that place which is highest above the ground.
    order = np.lexsort((-above_m, piece))
    best = order[np.flatnonzero(np.diff(piece[order], prepend=-1))]
    best = best[above_m[best] > room_m]
    likeliest = np.argsort(-above_m[best], kind="stable")
    finer, others = best[likeliest[:_MOST_FINER]], best[likeliest[_MOST_FINER:]]
    found = _finer(waits, ground, (owner[finer], share[finer], step_m / length_m[owner[finer]]), cuts)
    return np.concatenate([owner[finer], owner[others]]), np.concatenate([found, share[others]])


def _close_together(rows: Ints, length_m: Floats, step_m: float, cuts: Floats) -> tuple[Ints, Floats]:
    """Return places so close to each other on ways, and both ends and the middle of each piece of them."""
    count = np.ceil(length_m[rows] / step_m).astype(np.int64) + 1
    nth = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    keys = np.repeat(2.0 * rows, count) + nth / np.repeat(np.maximum(count - 1, 1), count)
    stops = np.sort(np.concatenate([cuts[cuts % 2.0 < 1.0], 2.0 * rows, 2.0 * rows + 1.0]))
    pieces = np.flatnonzero((stops[:-1] + stops[1:]) / 2.0 % 2.0 < 1.0)
    inner = [stops[pieces] + (stops[pieces + 1] - stops[pieces]) * within for within in _WITHIN]
    keys = np.unique(np.concatenate([keys, *inner]))
    owner = np.floor(keys / 2.0).astype(np.int64)
    return owner, keys - 2.0 * owner


def _above_m(waits: _Waits, ground: PlaneTerrain, owner: Ints, share: Floats) -> Floats:
    """Return how high places of ways are above the lowest ground within its error, -inf where not known.

    Of very many those that seem least high by the raster lowered all about them, which says too much.
    """
    x_m, y_m, amsl_m = waits.at(owner, share)
    box = float(x_m.min()), float(y_m.min()), float(x_m.max()), float(y_m.max())
    lowered = lowered_about(ground, box)
    above_m = np.nan_to_num(amsl_m - GridFit.over(lowered, x_m, y_m).ground(x_m, y_m), nan=-np.inf)
    if ground.terrain.horizontal_uncertainty_m > 0.0:
        likely = np.arange(len(above_m))
        if len(likely) > _MOST_EXACT:
            likely = np.argpartition(-above_m, _MOST_EXACT)[:_MOST_EXACT]
        exact_m = amsl_m[likely] - ground.lowest(x_m[likely], y_m[likely])
        above_m[likely] = np.nan_to_num(exact_m, nan=-np.inf)
    return np.asarray(above_m, dtype=float)


def _finer(waits: _Waits, ground: PlaneTerrain, found: tuple[Ints, Floats, Floats], cuts: Floats) -> Floats:
    """Return the share of what is highest close beside places, in the same piece: of way, share and step."""
    owner, share, step = found[0][:, None], found[1][:, None], found[2][:, None]
    beside = np.clip(share + step * _FINER, 0.0, 1.0)
    x_m, y_m, amsl_m = waits.at(owner, beside)
    above_m = amsl_m - ground.lowest(x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
    same = np.searchsorted(cuts, 2.0 * owner + beside) == np.searchsorted(cuts, 2.0 * owner + share)
    best = np.argmax(np.where(same, np.nan_to_num(above_m, nan=-np.inf), -np.inf), axis=1)
    return np.asarray(np.take_along_axis(beside, best[:, None], axis=1)[:, 0], dtype=float)
