"""Where the wires of a guyed mast may be, and where a path runs among them."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.structures import UNSTATED_ERROR_M, Structure

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Box = tuple[float, float, float, float]

WIRE_SHARE: Final = 0.8
"""Wires reach out to this share of the mast's height: a rule of thumb, until the pilot says otherwise."""
_PLACES_OF_A_PIECE = 33
_ROUNDING_M = 0.001


@attrs.frozen(eq=False)
class WireCone:
    """The cone under which a mast's wires lie: from its top straight to the ground at `reach_m`.

    `top_amsl_m` is the mast's top with the record's error, NaN if not known; `said` is whether the pilot
    says how far its wires reach, `denied` whether the pilot says that it has none and its record that it
    is guyed, `older` whether the pilot's word is of a record that said something else.
    """

    mast: Structure
    x_m: float
    y_m: float
    reach_m: float
    height_m: float
    top_amsl_m: float
    said: bool = False
    denied: bool = False
    older: bool = False

    def wire_top_amsl_m(self, aside_m: Floats) -> Floats:
        """Return the greatest height of a wire at distances from the mast [m AMSL]."""
        share = np.clip(aside_m / self.reach_m, 0.0, 1.0)
        return np.asarray(self.top_amsl_m - self.height_m * share, dtype=np.float64)

    def closest_m(self, track: Track) -> Floats:
        """Return, per piece between two samples, its least distance from the mast on the map [m]."""
        return self._aside(track, self.closest_share(track))

    def closest_share(self, track: Track) -> Floats:
        """Return, per piece between two samples, at which share of it that is."""
        across, along = np.diff(track.x_m), np.diff(track.y_m)
        to_mast = across * (self.x_m - track.x_m[:-1]) + along * (self.y_m - track.y_m[:-1])
        return np.clip(to_mast / np.maximum(across**2 + along**2, 1e-12), 0.0, 1.0)

    def holds(self, track: Track) -> Mask:
        """Return, per sample, whether a piece of path beside it runs under the cone.

        What is not known, height of mast, ground or path, counts as under it.
        """
        if self.is_apart(track):
            return np.zeros(len(track), dtype=bool)
        near = self.closest_m(track) < self.reach_m
        if near.any():
            shares = np.linspace(0.0, 1.0, _PLACES_OF_A_PIECE)[:, None]
            shares = np.vstack([np.broadcast_to(shares, (len(shares), len(near))), self.closest_share(track)])
            aside_m = self._aside(track, shares)
            planned_m = track.planned_amsl_m
            flown_m = planned_m[:-1] + np.diff(planned_m) * shares
            with np.errstate(invalid="ignore"):
                near &= ((aside_m < self.reach_m) & ~(flown_m > self.wire_top_amsl_m(aside_m))).any(axis=0)
        return np.append(near, False) | np.insert(near, 0, False)

    def is_apart(self, track: Track) -> bool:
        """Whether all of a track is surely farther from the mast on the map than the wires reach."""
        away_x = max(float(track.x_m.min()) - self.x_m, self.x_m - float(track.x_m.max()))
        away_y = max(float(track.y_m.min()) - self.y_m, self.y_m - float(track.y_m.max()))
        return max(away_x, away_y) > self.reach_m + _ROUNDING_M

    def _aside(self, track: Track, share: Floats) -> Floats:
        x_m = track.x_m[:-1] + np.diff(track.x_m) * share
        y_m = track.y_m[:-1] + np.diff(track.y_m) * share
        return np.asarray(np.hypot(x_m - self.x_m, y_m - self.y_m))


def wire_cones(plan: Plan, mapped: Mapped, track: Track, within_m: float) -> Iterator[WireCone]:
    """Yield the cones of all masts that may be guyed and reach to within a distance of the path's box [m]."""
    west, east = track.x_m.min() - within_m, track.x_m.max() + within_m
    south, north = track.y_m.min() - within_m, track.y_m.max() + within_m
    yield from cones_in_box(plan, mapped, (float(west), float(south), float(east), float(north)))


def cones_in_box(plan: Plan, mapped: Mapped, box_m: Box) -> Iterator[WireCone]:
    """Yield the cones of all masts that may be guyed and reach into a box of the plane."""
    words = {one.structure: one for one in plan.mast_wires}
    # Said once for all masts, in older plans, it takes nothing away from any of them.
    others = max(WIRE_SHARE, plan.guy_wire_share or 0.0)
    west, south, east, north = box_m
    for index, mast in enumerate(mapped.obstacles.structures):
        if mast.height_agl_m is None or mast.height_agl_m <= 0:
            continue
        x_m, y_m = float(mapped.obstacles.x_m[index]), float(mapped.obstacles.y_m[index])
        word = words.get(mast.key)
        older = word is not None and word.record != mast.wires_record
        share = others if word is None else max(word.share, others) if older else word.share
        denied = share <= 0 and mast.guyed
        if denied:
            share = others
        elif share <= 0:
            continue
        reach_m = share * mast.height_agl_m + _error(mast.horizontal_error_m)
        near = west - reach_m <= x_m <= east + reach_m and south - reach_m <= y_m <= north + reach_m
        if near and mast.may_be_guyed:
            top_m = _top_amsl_m(mast, x_m, y_m, mapped) + _error(mast.vertical_error_m)
            by_word = share > WIRE_SHARE or (word is not None and not denied and not older)
            yield WireCone(mast, x_m, y_m, reach_m, mast.height_agl_m, top_m, by_word, denied, older)


def _top_amsl_m(mast: Structure, x_m: float, y_m: float, mapped: Mapped) -> float:
    if mast.top_amsl_m is not None:
        return mast.top_amsl_m
    if mapped.ground is None or mast.height_agl_m is None:
        return float("nan")
    return float(mapped.ground.ground(np.array([x_m]), np.array([y_m]))[0]) + mast.height_agl_m


def _error(stated_m: float | None) -> float:
    return UNSTATED_ERROR_M if stated_m is None else stated_m
