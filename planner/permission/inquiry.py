"""Airspace of which only the authority can say whether a flight may enter, and its answers on record."""

from planner.permission.namesakes import closed_called
from planner.permission.records import Grant, in_order, in_time, ring_column, speaks_of
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind
from planner.track.mapped import Mapped
from planner.world.airspace import NEEDS_INQUIRY, AirspaceKind, AirspaceVolume

_ANSWERS = (PermissionKind.AUTHORIZATION, PermissionKind.AGENCY)


def inquired_of(volume: AirspaceVolume, purpose: Purpose | None) -> bool:
    """Whether only the authority can say if the flight may enter.

    Extensions for everybody; of a recreational flight Class E that is no surface
    area as well: 49 USC 44809(a)(6) speaks of Class G, (a)(5) of surface areas.
    """
    low_e = volume.kind is AirspaceKind.CLASS_E_OTHER and purpose is Purpose.RECREATIONAL
    return low_e or volume.kind in NEEDS_INQUIRY


def answers_on(volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> tuple[Grant, ...]:
    """Return the authority's answers on record about a volume that hold in the plan's window.

    What an agency permits in closed airspace of that name is no answer.
    """
    return tuple(
        Grant(record, ring_column(record, mapped))
        for record in in_order(plan.permissions)
        if record.kind in _ANSWERS
        and speaks_of(record, volume.name, volume.ident)
        and in_time(record, plan.window)
        and not (record.kind is PermissionKind.AGENCY and closed_called(record.airspace, plan, mapped))
    )
