"""Structures near the path, as they stand on its distance axis; no Qt."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.frame import LocalFrame
from planner.track.track import Track
from planner.units import FOOT_M, STRUCTURE_RADIUS_M
from planner.world.structures import Structure

Floats = NDArray[np.float64]


@attrs.frozen
class Tower:
    """A structure beside the path: where it is nearest, its foot and top [ft AMSL].

    `top_ft` is None where the record does not say how high it is.
    """

    name: str
    distance_m: float
    aside_m: float
    base_ft: float
    top_ft: float | None


class TowerFinder:
    """Finds the structures near a track; keeps their plane positions between calls."""

    def __init__(self) -> None:
        self._structures: Sequence[Structure] | None = None
        self._frame: LocalFrame | None = None
        self._x_m = self._y_m = np.empty(0)

    def near(self, track: Track, structures: Sequence[Structure]) -> tuple[Tower, ...]:
        """Return the towers within the structure radius of any leg, along the path.

        A structure is told again only where the path comes back to it.
        """
        if not structures or len(track.point_sample) < 2:
            return ()
        self._place(structures, track.frame)
        towers = [
            _tower(structures[index], track, aside_m, distance_m)
            for index, aside_m, distance_m in self._nearest(track)
        ]
        return tuple(sorted(filter(None, towers), key=lambda tower: tower.distance_m))

    def _place(self, structures: Sequence[Structure], frame: LocalFrame) -> None:
        if structures is self._structures and frame is self._frame:
            return
        self._structures, self._frame = structures, frame
        self._x_m, self._y_m = frame.forward(
            np.array([structure.place.lon_deg for structure in structures]),
            np.array([structure.place.lat_deg for structure in structures]),
        )

    def _nearest(self, track: Track) -> list[tuple[int, float, float]]:
        """Return (structure, aside [m], along [m]) of the nearest place of each run of legs in reach."""
        corner = track.point_sample
        corner_x_m, corner_y_m = track.x_m[corner], track.y_m[corner]
        reach_m = STRUCTURE_RADIUS_M
        close = np.flatnonzero(
            (self._x_m >= corner_x_m.min() - reach_m)
            & (self._x_m <= corner_x_m.max() + reach_m)
            & (self._y_m >= corner_y_m.min() - reach_m)
            & (self._y_m <= corner_y_m.max() + reach_m)
        )
        start_x_m, start_y_m = corner_x_m[:-1], corner_y_m[:-1]
        leg_x_m, leg_y_m = np.diff(corner_x_m), np.diff(corner_y_m)
        from_x_m = self._x_m[close, None] - start_x_m
        from_y_m = self._y_m[close, None] - start_y_m
        length2 = np.maximum(leg_x_m**2 + leg_y_m**2, 1e-12)
        share = np.clip((from_x_m * leg_x_m + from_y_m * leg_y_m) / length2, 0.0, 1.0)
        aside_m = np.hypot(from_x_m - share * leg_x_m, from_y_m - share * leg_y_m)
        return [
            (int(close[row]), float(aside_m[row, leg]), _along_m(track, leg, float(share[row, leg])))
            for row in range(len(close))
            for leg in _nearest_of_runs(aside_m[row], reach_m)
        ]


def _nearest_of_runs(aside_m: Floats, reach_m: float) -> list[int]:
    """Return, for each run of neighbouring legs in reach, the leg that comes nearest."""
    legs = np.flatnonzero(aside_m <= reach_m)
    runs = np.split(legs, np.flatnonzero(np.diff(legs) > 1) + 1)
    return [int(run[np.argmin(aside_m[run])]) for run in runs if run.size]


def _along_m(track: Track, leg: int, share: float) -> float:
    here = slice(*np.searchsorted(track.leg, (leg, leg + 1)))
    return float(np.interp(share, track.fraction[here], track.distance_m[here]))


def _tower(structure: Structure, track: Track, aside_m: float, distance_m: float) -> Tower | None:
    if structure.dismantled:
        return None
    ground_m = float(np.interp(distance_m, track.distance_m, track.ground_amsl_m))
    top_m, height_m = structure.top_amsl_m, structure.height_agl_m
    if top_m is None and height_m is not None:
        top_m = ground_m + height_m
    base_m = top_m - height_m if top_m is not None and height_m is not None else ground_m
    if not np.isfinite(base_m):
        base_m = top_m if top_m is not None else np.nan
    if not np.isfinite(base_m):
        return None
    known = top_m is not None and np.isfinite(top_m)
    return Tower(
        name=structure.name or structure.kind.lower() or "structure",
        distance_m=distance_m,
        aside_m=aside_m,
        base_ft=base_m / FOOT_M,
        top_ft=top_m / FOOT_M if known and top_m is not None else None,
    )
