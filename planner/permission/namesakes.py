"""Closed airspace of one name that is not one airspace: a record by that name alone opens none of it."""

from planner.permission.entries import is_active
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceKind, AirspaceVolume

_FOR_A_TIME = frozenset({AirspaceKind.TEMPORARY, AirspaceKind.STADIUM})
"""Named after what goes on there, as others are: without a notice their times tell them apart."""


def spoken(name: str) -> str:
    """Return a name of airspace as it is compared: without case, spaces as one."""
    return " ".join(name.split()).casefold()


def identity(volume: AirspaceVolume) -> tuple[str, ...]:
    """Return what tells closed airspace from others of its name: identifier or notice, else whose, and when.

    Parts of one airspace have it alike; of what is not closed the name is enough.
    """
    if volume.kind not in FORBIDDEN_WHILE_ACTIVE:
        return ()
    if volume.ident.strip():
        return (spoken(volume.ident),)
    times = (volume.active_from_utc, volume.active_to_utc) if volume.kind in _FOR_A_TIME else ()
    return "", spoken(volume.agency), *(str(one) for one in times)


def called(volume: AirspaceVolume) -> str:
    """Return the name that no other has: with its identifier or notice, else with when it begins."""
    which = volume.ident.strip()
    if not which and volume.kind in _FOR_A_TIME and volume.active_from_utc is not None:
        which = f"{volume.active_from_utc:%Y-%m-%d %H:%M} UTC"
    return f"{volume.name} ({which})" if which and spoken(which) != spoken(volume.name) else volume.name


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
