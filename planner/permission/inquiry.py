"""Airspace of which only the authority can say whether a flight may enter, and its answers on record."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.permission.records import Grant, in_order, in_time, ring_column, speaks_of
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind
from planner.track.mapped import Mapped
from planner.track.samples import Samples
from planner.world.airspace import NEEDS_INQUIRY, AirspaceKind, AirspaceVolume

Floats = NDArray[np.float64]

_ANSWERS = (PermissionKind.AUTHORIZATION, PermissionKind.AGENCY)


def inquired_of(volume: AirspaceVolume, purpose: Purpose | None) -> bool:
    """Whether only the authority can say if the flight may enter.

    Extensions for everybody; of a recreational flight Class E that is no surface
    area as well: 49 USC 44809(a)(6) speaks of Class G, (a)(5) of surface areas.
    """
    low_e = volume.kind is AirspaceKind.CLASS_E_OTHER and purpose is Purpose.RECREATIONAL
    return low_e or volume.kind in NEEDS_INQUIRY


@attrs.frozen(eq=False)
class Answer(Grant):
    """What the authority has answered: up to the height it names, and nothing where it names none."""

    def height_amsl_m(self, samples: Samples, launch_m: float) -> Floats:
        """Return up to what height the answer holds [m AMSL], NaN if unknown."""
        if self.record.ceiling is None:
            return np.full(len(samples.ground_amsl_m), -np.inf)
        return super().height_amsl_m(samples, launch_m)


def answers_on(volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> tuple[Answer, ...]:
    """Return the authority's answers on record about a volume that hold in the plan's window."""
    return tuple(
        Answer(record, ring_column(record, mapped))
        for record in in_order(plan.permissions)
        if record.kind in _ANSWERS
        and speaks_of(record, volume.name, volume.ident)
        and in_time(record, plan.window)
    )
