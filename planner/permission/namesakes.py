"""Closed airspace of one name that is not one airspace: a record by that name alone opens none of it."""

from planner.permission.entries import is_active
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceKind, AirspaceVolume

_FOR_A_TIME = frozenset({AirspaceKind.TEMPORARY, AirspaceKind.STADIUM})
"""Named after what goes on there, as others are: without a notice their times tell them apart."""
_KINDS = {
    AirspaceKind.PROHIBITED: "prohibited area",
    AirspaceKind.RESTRICTED: "restricted area",
    AirspaceKind.SECURITY: "security restriction",
    AirspaceKind.ZONE_PROHIBITED: "closed zone",
    AirspaceKind.ZONE_PERMISSION: "zone by permission",
}
"""What closes for good under one name is told apart by what it is."""


def spoken(name: str) -> str:
    """Return a name of airspace as it is compared: without case, spaces as one."""
    return " ".join(name.split()).casefold()


def identity(volume: AirspaceVolume) -> tuple[str, ...]:
    """Return what tells closed airspace from others of its name: its identifier, else what, whose, when.

    Parts of one airspace have it alike; of what is not closed the name is enough.
    """
    if volume.kind not in FORBIDDEN_WHILE_ACTIVE:
        return ()
    if volume.ident.strip():
        return (spoken(volume.ident),)
    times = (volume.active_from_utc, volume.active_to_utc) if volume.kind in _FOR_A_TIME else ()
    return "", volume.kind.value, spoken(volume.agency), *(str(one) for one in times)


def called(volume: AirspaceVolume) -> str:
    """Return a name for it alone: with its identifier or notice, else what it is, or when it begins."""
    which = volume.ident.strip() or _KINDS.get(volume.kind, "")
    if not which and volume.kind in _FOR_A_TIME and volume.active_from_utc is not None:
        which = f"{volume.active_from_utc:%Y-%m-%d %H:%M} UTC"
    return f"{volume.name} ({which})" if which and spoken(which) != spoken(volume.name) else volume.name


def opens_others(name: str, volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> bool:
    """Whether what a record says of an airspace is said of other closed airspace, active then, as well."""
    own, said = identity(volume), spoken(name)
    return bool(own) and any(
        other.kind in FORBIDDEN_WHILE_ACTIVE
        and said in (spoken(other.name), spoken(called(other)))
        and identity(other) != own
        and is_active(other, plan.window)
        for other in mapped.airspace.values()
    )


def closed_called(name: str, plan: Plan, mapped: Mapped) -> bool:
    """Whether any closed airspace near, active then, is called so: an agency's word is of that."""
    said = spoken(name)
    return any(
        other.kind in FORBIDDEN_WHILE_ACTIVE
        and said in (spoken(other.name), spoken(called(other)), spoken(other.ident))
        and is_active(other, plan.window)
        for other in mapped.airspace.values()
    )


def has_namesakes(volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> bool:
    """Whether other closed airspace of this name, active in the plan's window, is near."""
    return opens_others(volume.name, volume, plan, mapped)
