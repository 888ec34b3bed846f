"""Margin of a radio link along the path; control and video, analog and digital apart."""

from collections.abc import Sequence
from enum import StrEnum
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.free_space import dbm_of_mw, free_space_loss_db, received_dbm
from planner.flight.radio_path import Antenna, RadioPaths, radio_paths
from planner.plan.aircraft import Radio, RadioUse
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Taken where the pilot wants no other: common practice.
REQUIRED_MARGIN_DB: Final = 10.0
# Antenna of a pilot who stands, or wears goggles: common practice.
GROUND_ANTENNA_M: Final = 1.5


class Failing(StrEnum):
    """How a link goes: an analog picture fades, a digital one freezes without warning."""

    FADES = "fades"
    FREEZES = "freezes"
    UNKNOWN = "unknown"


@attrs.frozen
class LinkSpec:
    """A link whose budget is complete; gains of both antennas together."""

    use: RadioUse
    frequency_mhz: float
    power_dbm: float
    gains_dbi: float
    sensitivity_dbm: float
    required_margin_db: float
    failing: Failing

    @classmethod
    def of(cls, radio: Radio) -> "LinkSpec | None":
        """Return the link of a radio, None if a figure of its budget is missing."""
        figures = (radio.power_mw, radio.ground_gain_dbi, radio.air_gain_dbi, radio.sensitivity_dbm)
        power_mw, ground_dbi, air_dbi, sensitivity_dbm = figures
        if power_mw is None or ground_dbi is None or air_dbi is None or sensitivity_dbm is None:
            return None
        required = radio.required_margin_db
        return cls(
            use=radio.use,
            frequency_mhz=radio.frequency_mhz,
            power_dbm=dbm_of_mw(power_mw),
            gains_dbi=ground_dbi + air_dbi,
            sensitivity_dbm=sensitivity_dbm,
            required_margin_db=REQUIRED_MARGIN_DB if required is None else required,
            failing=_failing(radio.analog),
        )


def _failing(analog: bool | None) -> Failing:
    if analog is None:
        return Failing.UNKNOWN
    return Failing.FADES if analog else Failing.FREEZES


def missing_figures(radio: Radio) -> tuple[str, ...]:
    """Return which figures of a radio's budget are missing, in words."""
    figures = {
        "power": radio.power_mw,
        "gain of the antenna on the ground": radio.ground_gain_dbi,
        "gain of the antenna in the air": radio.air_gain_dbi,
        "sensitivity": radio.sensitivity_dbm,
    }
    return tuple(name for name, value in figures.items() if value is None)


@attrs.frozen(eq=False)
class LinkProfile:
    """A link at every sample; arrays (n,), NaN where the ground between is unknown.

    Parameters
    ----------
    margin_db : received power over the sensitivity.
    free_space_db, single_edge_db, terrain_db : losses; the margin is after
        the first and the last.
    fresnel_clearance : least clearance in radii of the first Fresnel zone.
    worst_m : where on the way, from the antenna; `cover` is the piece of drawn cover there, -1: the ground.
    thin : margin below the one that is wanted. lost : below none at all.
    """

    spec: LinkSpec
    margin_db: Floats
    free_space_db: Floats
    single_edge_db: Floats
    terrain_db: Floats
    fresnel_clearance: Floats
    worst_m: Floats
    cover: NDArray[np.int64] | None = None

    @property
    def thin(self) -> Mask:
        """Where less than the wanted margin is left."""
        return np.asarray(self.margin_db < self.spec.required_margin_db)

    @property
    def lost(self) -> Mask:
        """Where nothing is left."""
        return np.asarray(self.margin_db < 0.0)

    @property
    def unknown(self) -> Mask:
        """Where nobody can say."""
        return np.isnan(self.margin_db)

    @property
    def worst(self) -> int | None:
        """Index of the sample with the least margin, None where no margin is known."""
        return None if self.unknown.all() else int(np.nanargmin(self.margin_db))


def link_along(paths: RadioPaths, spec: LinkSpec) -> LinkProfile:
    """Return a link along ways that are known; both directions lose the same.

    Antennas are taken to be turned well: nulls and the airframe's shadow are
    not in it.
    """
    free_db = free_space_loss_db(spec.frequency_mhz, paths.slant_m)
    terrain_db = paths.terrain_db(spec.frequency_mhz)
    received = received_dbm(spec.power_dbm, spec.gains_dbi, free_db + terrain_db)
    return LinkProfile(
        spec=spec,
        margin_db=received - spec.sensitivity_dbm,
        free_space_db=free_db,
        single_edge_db=paths.single_edge_db(spec.frequency_mhz),
        terrain_db=terrain_db,
        fresnel_clearance=paths.fresnel_clearance(spec.frequency_mhz),
        worst_m=paths.worst_m,
        cover=paths.cover,
    )


def links_along(
    track: Track, antenna: Antenna, surfaces: Sequence[PlaneTerrain], specs: Sequence[LinkSpec]
) -> tuple[LinkProfile, ...]:
    """Return several links of one antenna along the track."""
    if not specs:
        return ()
    paths = radio_paths(track, antenna, surfaces, min(spec.frequency_mhz for spec in specs))
    return tuple(link_along(paths, spec) for spec in specs)


def least_margin_db(profiles: Sequence[LinkProfile], use: RadioUse, count: int) -> Floats:
    """Return the least margin of all links of one use (count,), NaN where there is none."""
    margins = [profile.margin_db for profile in profiles if profile.spec.use is use]
    return np.min(margins, axis=0) if margins else np.full(count, np.nan)
