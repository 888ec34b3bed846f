"""Closed airspace of one name that is not one airspace: a record by that name alone opens none of it."""

from planner.permission.entries import is_active
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceKind, AirspaceVolume

_EACH_ITS_OWN = frozenset({AirspaceKind.TEMPORARY, AirspaceKind.STADIUM})
"""Named after what goes on there, as others are: without a notice each is one for itself."""


def spoken(name: str) -> str:
    """Return a name of airspace as it is compared: without case, spaces as one."""
    return " ".join(name.split()).casefold()


def identity(volume: AirspaceVolume) -> tuple[str, ...]:
    """Return what tells closed airspace from others of its name: identifier or notice, and whose it is.

    Parts of one airspace have it alike; of what is not closed the name is enough.
    """
    if volume.kind not in FORBIDDEN_WHILE_ACTIVE:
        return ()
    alone = volume.key if volume.kind in _EACH_ITS_OWN and not volume.ident.strip() else ""
    return spoken(volume.ident), spoken(volume.agency), alone


def called(volume: AirspaceVolume) -> str:
    """Return the name that no other has: with its identifier or notice, where it has one."""
    ident = volume.ident.strip()
    return f"{volume.name} ({ident})" if ident and spoken(ident) != spoken(volume.name) else volume.name


def has_namesakes(volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> bool:
    """Whether other closed airspace of this name, active in the plan's window, is near."""
    own, name = identity(volume), spoken(volume.name)
    return bool(own) and any(
        other.kind in FORBIDDEN_WHILE_ACTIVE
        and spoken(other.name) == name
        and identity(other) != own
        and is_active(other, plan.window)
        for other in mapped.airspace.values()
    )
