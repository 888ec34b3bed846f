"""The way of a radio wave from somebody on the ground to the aircraft at every sample."""

from collections.abc import Callable, Sequence
from typing import TypeVar

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.cover import Cover
from planner.flight.diffraction import (
    EFFECTIVE_RADIUS_M,
    bullington_v,
    knife_edge_loss_db,
    terrain_loss_db,
)
from planner.flight.fan import Question, greatest_along
from planner.flight.free_space import wavelength_m
from planner.flight.radio_cover import over_cover
from planner.flight.rays import Fan, Reals
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Number = TypeVar("Number", np.float64, np.int64)

# Below this v nothing is lost and the first Fresnel zone is clear, so that no closer look is needed.
_CLEAR_V = -1.5
_LEAST_REST = 1e-6
_SAME_HEIGHT_M = 0.01


@attrs.frozen
class Antenna:
    """An antenna on the ground: plane position [m], and its height [m AMSL]."""

    x_m: float
    y_m: float
    amsl_m: float


@attrs.frozen(eq=False)
class RadioPaths:
    """What lies between an antenna and the aircraft; arrays (n,).

    Good for frequencies from `lowest_mhz` up: ways that are clear there are
    only known to be clear.

    See `bullington_v` for `rise_hub_m`, `rise_end_m`, `greatest_m`; -inf where
    no raster line lies between, the first two also where all ground stays
    below the wave; NaN where ground is unknown. `worst_m` is the
    distance from the antenna of the place that comes nearest to the wave, in
    terms of Fresnel zones, `cover` which piece of drawn cover that is, -1: the
    ground.
    """

    lowest_mhz: float
    flat_m: Floats
    slant_m: Floats
    rise_hub_m: Floats
    rise_end_m: Floats
    greatest_m: Floats
    worst_m: Floats
    cover: Ints

    def edge_v(self, frequency_mhz: float) -> Floats:
        """Return v of the worst single edge."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(self.greatest_m * np.sqrt(2 / (wavelength_m(frequency_mhz) * self.flat_m)))

    def fresnel_clearance(self, frequency_mhz: float) -> Floats:
        """Return the least clearance in radii of the first Fresnel zone; below 0 where it is cut."""
        return np.asarray(-self.edge_v(frequency_mhz) / np.sqrt(2.0))

    def single_edge_db(self, frequency_mhz: float) -> Floats:
        """Return the loss behind the worst single edge [dB]."""
        return knife_edge_loss_db(self.edge_v(frequency_mhz))

    def terrain_db(self, frequency_mhz: float) -> Floats:
        """Return the loss over all edges [dB] (Bullington construction of ITU-R P.526)."""
        length = wavelength_m(frequency_mhz)
        v = bullington_v(self.rise_hub_m, self.rise_end_m, self.greatest_m, self.flat_m, length)
        return terrain_loss_db(v, self.flat_m)


def radio_paths(
    track: Track,
    antenna: Antenna,
    surfaces: Sequence[PlaneTerrain],
    lowest_mhz: float,
    cover: Cover | None = None,
) -> RadioPaths:
    """Return the ways from an antenna to every sample of the track.

    The first surface is the ground; crowns and roofs, where known, come
    after it. `cover` are trees and buildings that are drawn with their height.
    The earth's bulge is that of the effective radius of 8,500 km. Single
    structures are not looked at.
    """
    rise_m = track.planned_amsl_m - antenna.amsl_m
    with np.errstate(invalid="ignore"):
        # Under the ground there is no way to speak of.
        known = ~(np.isnan(rise_m) | (track.planned_amsl_m < track.ground_amsl_m - _SAME_HEIGHT_M))
    fan = Fan((antenna.x_m, antenna.y_m), track.x_m[known], track.y_m[known])
    clear = _CLEAR_V * np.sqrt(wavelength_m(lowest_mhz) * fan.flat_m / 2)
    line = _line(antenna, rise_m[known], fan.flat_m)
    question = Question(line, (_by_share, _by_rest, _by_both), clear)
    found = greatest_along(fan, surfaces, question)
    value, worst, which = found.value, found.share[2], np.full(len(fan), -1)
    if cover is not None and len(cover) and surfaces:
        over = over_cover(fan, line, cover, surfaces[0])
        # Not known stays not known; where the ground meets no line, cover may.
        covered = over.value[2] > value[2]
        value = np.where(np.isnan(value), np.nan, np.fmax(value, over.value))
        worst, which = np.where(covered, over.share[2], worst), np.where(covered, over.which, -1)
    flat_m = np.hypot(track.x_m - antenna.x_m, track.y_m - antenna.y_m)
    rise_hub_m, rise_end_m, greatest_m, worst_m = (
        _where(known, one, np.nan) for one in (*value, worst * fan.flat_m)
    )
    return RadioPaths(
        lowest_mhz=lowest_mhz,
        flat_m=flat_m,
        slant_m=np.hypot(flat_m, rise_m),
        rise_hub_m=rise_hub_m,
        rise_end_m=rise_end_m,
        greatest_m=greatest_m,
        worst_m=worst_m,
        cover=_where(known, which, -1),
    )


def _where(known: NDArray[np.bool_], values: NDArray[Number], blank: float) -> NDArray[Number]:
    """Return values at the samples that are known, something else at the others."""
    found = np.full(known.shape, blank, dtype=values.dtype)
    found[known] = values
    return found


def _line(antenna: Antenna, rise_m: Floats, flat_m: Floats) -> Callable[[Ints, Reals], Reals]:
    """Return the wave's straight line, let down by the earth's bulge."""
    bulge_m = flat_m**2 / (2 * EFFECTIVE_RADIUS_M)
    straight_m = rise_m - bulge_m

    def line(ray: Ints, share: Reals) -> Reals:
        straight, bulge = (part[ray].astype(share.dtype) for part in (straight_m, bulge_m))
        height = bulge * share
        height += straight
        height *= share
        height += share.dtype.type(antenna.amsl_m)
        return height

    return line


def _by_share(share: Reals) -> Reals:
    return 1.0 / share


def _by_rest(share: Reals) -> Reals:
    rest: Reals = 1.0 - share
    np.maximum(rest, _LEAST_REST, out=rest)
    return np.divide(1.0, rest, out=rest)


def _by_both(share: Reals) -> Reals:
    both: Reals = 1.0 - share
    both *= share
    np.maximum(both, _LEAST_REST, out=both)
    np.sqrt(both, out=both)
    return np.divide(1.0, both, out=both)
