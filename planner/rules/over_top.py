"""Rule on airspace that a path passes over by less than anybody knows its height."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.permission.entries import is_active, top_amsl_m
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.needs import AirspaceUse
from planner.permission.records import grants_for
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.readout import uncertain
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.world.airspace import (
    FORBIDDEN_WHILE_ACTIVE,
    NEEDS_AUTHORIZATION,
    AirspaceVolume,
    LimitReference,
)

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


def close_over_airspace(case: Case) -> Iterator[Finding]:
    """Yield an act for each stretch over an airspace by less than the uncertainty.

    A top above ground counts from the highest ground within the terrain's
    horizontal error, as a floor counts from the lowest.
    """
    track, profile, mapped = case.track, case.profile, case.mapped
    if track is None or profile is None or mapped is None:
        return
    uses = {column: use for use in case.uses if not use.need.not_drawn for column in use.volumes}
    for column, volume in mapped.airspace.items():
        inside = track.inside_outline(column)
        if not inside.any() or not closes(case, volume) or _told(uses.get(column)):
            continue
        with np.errstate(invalid="ignore"):
            over_m = track.flown_from_amsl_m - _highest_top_m(case, volume, inside)
            passed = inside & (track.flown_from_amsl_m > top_amsl_m(volume, track))
            close = passed & (over_m < profile.uncertainty_m) & ~_opened(case, volume)
        for part in stretches(track, close):
            yield _finding(case, volume, part, over_m)


def closes(case: Case, volume: AirspaceVolume) -> bool:
    """Whether an airspace is shut, or asks, in the plan's window."""
    closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
    return (closes or inquired_of(volume, case.plan.purpose)) and is_active(volume, case.plan.window)


def _told(use: AirspaceUse | None) -> bool:
    """Whether the airspace is entered elsewhere without leave: that is told, and weighs more."""
    return use is not None and not use.need.recorded


def _opened(case: Case, volume: AirspaceVolume) -> Mask:
    """Return where a record holds up to the very top: then it is no matter whether that is overflown."""
    track = case.track
    assert track is not None
    assert case.mapped is not None
    of_volume = answers_on if inquired_of(volume, case.plan.purpose) else grants_for
    opened = np.zeros(len(track), dtype=bool)
    top_m = top_amsl_m(volume, track)
    for grant in of_volume(volume, case.plan, case.mapped):
        with np.errstate(invalid="ignore"):
            high_enough = grant.height_amsl_m(track, track.launch_ground_amsl_m) >= top_m - TOLERANCE_M
        opened |= grant.covers(track) & high_enough
    return opened


def _highest_top_m(case: Case, volume: AirspaceVolume, inside: Mask) -> Floats:
    """Return the volume's top over the highest ground it may count from [m AMSL]."""
    track = case.track
    assert track is not None
    assert case.mapped is not None
    if volume.top.reference is not LimitReference.ABOVE_GROUND or case.mapped.ground is None:
        return top_amsl_m(volume, track)
    found = np.full(len(track), np.nan)
    highest_m = case.mapped.ground.highest(track.x_m[inside], track.y_m[inside])
    found[inside] = volume.top.top_amsl_m(highest_m)
    return found


def _finding(case: Case, volume: AirspaceVolume, part: Stretch, over_m: Floats) -> Finding:
    assert case.track is not None
    assert case.profile is not None
    worst = part.first + int(np.argmin(over_m[part.slice]))
    room_m, doubt_m = float(over_m[worst]), float(case.profile.uncertainty_m[worst])
    passes = (
        f"is {room_ft(room_m)} over its top"
        if room_m >= 0
        else f"is over its top, and {over_ft(-room_m)} under it if the terrain is shifted by its own error"
    )
    return Finding(
        rule="close-over-airspace",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Close over {volume.name}",
        message=(
            f"At {along(float(case.track.distance_m[worst]))} the path {passes}; "
            f"{over_ft(doubt_m)} are {uncertain(case)}. A figure never to exceed keeps nobody above it."
        ),
        citation="common practice",
        remedy="fly higher there or keep aside, and tell whoever reads the height not to sink there",
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(case.track, worst),
        numbers={"over_top_m": room_m, "uncertainty_m": doubt_m},
    )


RULES = (close_over_airspace,)
