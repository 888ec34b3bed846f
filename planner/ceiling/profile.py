"""The ceiling along the track and over the area, as answers."""

from enum import StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place

Floats = NDArray[np.float64]

SAME_HEIGHT_M = 0.01
"""Two limits closer than this are one line."""


class Binding(StrEnum):
    """The closed list of what sets a ceiling."""

    GROUND = "ground-limit"
    STRUCTURE = "structure-limit"
    AIRSPACE_FLOOR = "airspace-floor"
    NO_PERMISSION = "no-permission"
    PERMITTED_HEIGHT = "permitted-height"
    CLOSED = "closed-airspace"
    SITE_HEIGHT = "site-height"
    UNKNOWN = "unknown"


@attrs.frozen(eq=False)
class CeilingProfile:
    """Heights on the track's axis, shape (n,), all [m AMSL], NaN unknown.

    Parameters
    ----------
    ceiling_amsl_m : what is allowed with the permissions on record; the
        ground itself where nothing is allowed.
    requestable_amsl_m : what is published that a route open to this purpose could
        still give; NaN also where nobody can say what that is.
    ground_limit_amsl_m : what the rules on height allow, airspace left aside.
    binding, binding_name : what sets the ceiling, and the name of that thing; of a
        ceiling that is not known, what may be closed there while no time is set.
    in_closed : whether the planned height lies inside a closed volume that no
        record opens.
    in_unpermitted : the same for airspace that needs authorization.
    uncertainty_m : one-sided vertical uncertainty of planned against ceiling [m].
    unasked_amsl_m : the ceiling as long as what only the authority can open stays
        shut: known where the ceiling is left open by that; None if nothing asks.
    """

    ceiling_amsl_m: Floats
    requestable_amsl_m: Floats
    ground_limit_amsl_m: Floats
    binding: tuple[Binding, ...]
    binding_name: tuple[str, ...]
    in_closed: NDArray[np.bool_]
    in_unpermitted: NDArray[np.bool_]
    uncertainty_m: Floats
    unasked_amsl_m: Floats | None = None

    def can_ask(self) -> NDArray[np.bool_]:
        """Return, per sample (n,), whether asking could give more than is allowed now."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.requestable_amsl_m > self.ceiling_amsl_m + SAME_HEIGHT_M)

    def open_below_amsl_m(self, ground_amsl_m: Floats) -> Floats:
        """Return up to where all is open while the ceiling waits for the authority's word (n,) [m AMSL].

        NaN where the ceiling is known, where nobody can say, and where nothing above the ground is open.
        """
        if self.unasked_amsl_m is None:
            return np.full(len(self.ceiling_amsl_m), np.nan)
        with np.errstate(invalid="ignore"):
            there = np.isnan(self.ceiling_amsl_m) & (self.unasked_amsl_m > ground_amsl_m)
        return np.where(there, self.unasked_amsl_m, np.nan)

    def forgetting(self, there: NDArray[np.bool_]) -> "CeilingProfile":
        """Return it with no height known at some samples (n,)."""
        gone, unasked_m = there.tolist(), self.unasked_amsl_m
        return attrs.evolve(
            self,
            ceiling_amsl_m=np.where(there, np.nan, self.ceiling_amsl_m),
            requestable_amsl_m=np.where(there, np.nan, self.requestable_amsl_m),
            ground_limit_amsl_m=np.where(there, np.nan, self.ground_limit_amsl_m),
            binding=tuple(Binding.UNKNOWN if no else one for no, one in zip(gone, self.binding, strict=True)),
            binding_name=tuple("" if no else one for no, one in zip(gone, self.binding_name, strict=True)),
            unasked_amsl_m=None if unasked_m is None else np.where(there, np.nan, unasked_m),
            in_closed=self.in_closed & ~there,
            in_unpermitted=self.in_unpermitted & ~there,
        )


@attrs.frozen
class AreaCeiling:
    """The lowest limit over the flying area.

    Parameters
    ----------
    lowest_limit_amsl_m, lowest_limit_agl_m : the place of least room between
        top and limit: its limit above sea level and above ground [m]; None
        where unknown.
    planned_top_amsl_m : the area's top at that place [m AMSL], None if it has none.
    over_by_m : greatest height of the top above the limit [m], negative is room.
    binding, binding_name : what sets the limit there.
    place : where that is.
    uncertainty_m : one-sided vertical uncertainty there [m].
    unknown_share : share of the area whose ground is unknown, 0 to 1.
    in_closed, in_unpermitted : whether its volume meets closed airspace, or
        airspace that needs authorization, that no record opens.
    over_height_limit_m, height_limit_place : greatest height of the top above
        what the rules on height allow, airspace left aside [m], and where.
    """

    lowest_limit_amsl_m: float | None
    lowest_limit_agl_m: float | None
    planned_top_amsl_m: float | None
    over_by_m: float | None
    binding: Binding
    binding_name: str
    place: Place
    uncertainty_m: float
    unknown_share: float
    in_closed: bool = False
    in_unpermitted: bool = False
    over_height_limit_m: float | None = None
    height_limit_place: Place | None = None
