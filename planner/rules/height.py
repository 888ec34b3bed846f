"""Rules on height along the path: the limit, the ground, and what is not known."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import CeilingProfile
from planner.permission.routes import TOLERANCE_M
from planner.plan.model import Purpose
from planner.rules.bibliography import FIXED_SITES_ON_CHARTS, TERRAIN_CLEARANCE, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.height_permission import height_need, or_permission, short_by
from planner.rules.moments import moment
from planner.rules.readout import uncertain
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.structure_allowance import allowance_ends
from planner.rules.sure_hours import surely_active_until
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track
from planner.world.airspace import NEEDS_AUTHORIZATION
from planner.world.structures import Structure


def above_limit(case: Case) -> Iterator[Finding]:
    """Yield a stop for each stretch above the limit from ground and structures."""
    track, profile = case.track, case.profile
    if track is None or profile is None:
        return
    over = track.planned_amsl_m - profile.ground_limit_amsl_m
    with np.errstate(invalid="ignore"):
        above = over > TOLERANCE_M
    for part in stretches(track, above):
        worst = _worst(track, over, part)
        yield _above(case, track, profile, part, worst, float(over[worst]))


def _worst(track: Track, over: NDArray[np.float64], part: Stretch) -> int:
    """Return the sample farthest above; of several alike the one highest above the ground straight below."""
    here = over[part.slice]
    alike = here >= here.max() - TOLERANCE_M
    agl_m = np.nan_to_num(track.planned_agl_m[part.slice], nan=-np.inf)
    return part.first + int(np.argmax(np.where(alike, agl_m, -np.inf)))


def _above(
    case: Case, track: Track, profile: CeilingProfile, part: Stretch, worst: int, over_m: float
) -> Finding:
    structure = _unconfirmed_structure(case, worst)
    ends, keep = allowance_ends(case, part)
    remedy = f"lower it by {over_ft(over_m)} at {along(float(track.distance_m[worst]))}{keep}"
    if structure and case.plan.purpose is Purpose.PART_107:
        remedy += _confirm(structure, case.plan.structures_standing)
        remedy += or_permission(case, in_site=False) if height_need(case) is not None else ""
    else:
        remedy += or_permission(case, in_site=_in_fixed_site(case, worst))
    citation = height_rule(case.plan.purpose)
    if case.plan.purpose is Purpose.RECREATIONAL:
        citation = f"{citation}; {FIXED_SITES_ON_CHARTS}"
    agl_m = float(track.planned_agl_m[worst])
    return Finding(
        rule="above-height-limit",
        mark=Mark.STOP,
        basis=Basis.LAW,
        title=f"{over_ft(over_m)} above the limit",
        message=(
            f"At {along(float(track.distance_m[worst]))} the path is {over_ft(agl_m)} above the ground "
            f"straight below and {over_ft(over_m)} above what ground and structures allow there."
            f"{_class_g_at_times(case, worst)}{ends}{short_by(case)}"
        ),
        citation=citation,
        remedy=remedy,
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, worst),
        numbers={
            "at_m": float(track.distance_m[worst]),
            "over_m": over_m,
            "planned_agl_m": agl_m,
            "uncertainty_m": float(profile.uncertainty_m[worst]),
        },
    )


def _confirm(structure: Structure, words: frozenset[str]) -> str:
    if structure.words_on(words):
        return (
            f", or look again at the structure {structure.label} and confirm that {structure.to_confirm}: "
            "its record has changed since you said so"
        )
    if structure.count == 1:
        return f", or confirm that the structure {structure.label} still stands"
    return f", or confirm of the structure {structure.label} that {structure.to_confirm}"


def _unconfirmed_structure(case: Case, sample: int) -> Structure | None:
    assert case.track is not None
    for column, structure in case.mapped.structures.items() if case.mapped else ():
        inside = bool(case.track.inside_outline(column)[sample])
        if inside and not structure.stands_by(case.plan.structures_standing):
            return structure
    return None


def _in_fixed_site(case: Case, sample: int) -> bool:
    assert case.track is not None
    if case.mapped is None or case.plan.purpose is not Purpose.RECREATIONAL:
        return False
    return any(bool(case.track.inside_outline(column)[sample]) for column in case.mapped.sites)


def _class_g_at_times(case: Case, sample: int) -> str:
    """Return ' … is not active all the time' of an airspace by which no 400 ft would hold there."""
    if case.track is None or case.mapped is None or case.plan.purpose is not Purpose.RECREATIONAL:
        return ""
    for column, volume in case.mapped.airspace.items():
        if (
            volume.kind in NEEDS_AUTHORIZATION
            and bool(case.track.inside_outline(column)[sample])
            and not volume.active_throughout(case.plan.window)
        ):
            until = surely_active_until(volume, case.plan.window)
            end = (
                f" It surely is to {moment(until, case.plan.window)}: end the window by then."
                if until
                else ""
            )
            return (
                f" {volume.name} is not surely active all the time; while it is not, 400 ft hold there.{end}"
            )
    return ""


def close_under_limit(case: Case) -> Iterator[Finding]:
    """Yield an act for each stretch under the ceiling by less than the uncertainty."""
    track, profile = case.track, case.profile
    if track is None or profile is None:
        return
    room = profile.ceiling_amsl_m - track.planned_amsl_m
    with np.errstate(invalid="ignore"):
        close = (room >= -TOLERANCE_M) & (room < profile.uncertainty_m)
    crossed = profile.in_unpermitted | profile.in_closed
    for part in stretches(track, close & ~crossed):
        # Just before and after an airspace that is entered anyway, the entry is what counts.
        if crossed[max(part.first - 1, 0)] or crossed[min(part.last + 1, len(crossed) - 1)]:
            continue
        worst = part.first + int(np.argmin(room[part.slice]))
        yield Finding(
            rule="close-under-limit",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Close under the ceiling",
            message=(
                f"At {along(float(track.distance_m[worst]))} the path is "
                f"{room_ft(max(float(room[worst]), 0.0))} under the ceiling; "
                f"{over_ft(float(profile.uncertainty_m[worst]))} are {uncertain(case)}."
            ),
            citation=height_rule(case.plan.purpose),
            remedy="fly lower there, or watch the readout",
            from_m=part.from_m,
            to_m=part.to_m,
            place=place_at(track, worst),
            numbers={
                "at_m": float(track.distance_m[worst]),
                "room_m": float(room[worst]),
                "uncertainty_m": float(profile.uncertainty_m[worst]),
            },
        )


def into_ground(case: Case) -> Iterator[Finding]:
    """Yield a stop where the path runs into the ground, an act where it may."""
    track, profile = case.track, case.profile
    if track is None or profile is None:
        return
    agl = track.planned_agl_m
    # A raster line through the very end gives a second sample, less than that away from it.
    begun, ended = track.distance_m[0] + TOLERANCE_M, track.distance_m[-1] - TOLERANCE_M
    airborne = (track.distance_m > begun) & (track.distance_m < ended)
    with np.errstate(invalid="ignore"):
        below = agl < -TOLERANCE_M
        near = airborne & ~below & (agl < profile.uncertainty_m)
    for part in stretches(track, below):
        worst = part.first + int(np.argmin(agl[part.slice]))
        yield _ground(
            track,
            part,
            worst,
            Mark.STOP,
            "Runs into the ground",
            f"the path lies {over_ft(-float(agl[worst]))} under the ground",
        )
    for part in stretches(track, near):
        worst = part.first + int(np.argmin(agl[part.slice]))
        yield _ground(
            track,
            part,
            worst,
            Mark.ACT,
            "Very low",
            f"the path is {room_ft(float(agl[worst]))} above the ground, less than the uncertainty of "
            f"{over_ft(float(profile.uncertainty_m[worst]))}",
        )


def _ground(track: Track, part: Stretch, worst: int, mark: Mark, title: str, what: str) -> Finding:
    return Finding(
        rule="into-ground",
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=f"At {along(float(track.distance_m[worst]))} {what}.",
        citation=TERRAIN_CLEARANCE,
        remedy="raise the path there or let the leg follow the ground",
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, worst),
        numbers={"planned_agl_m": float(track.planned_agl_m[worst])},
    )


def unknown_ground(case: Case) -> Iterator[Finding]:
    """Yield an unknown for each stretch whose height can't be judged."""
    track = case.track
    if track is None:
        return
    no_ground = np.isnan(track.lowest_ground_amsl_m)
    for part in stretches(track, no_ground):
        yield _unknown(
            case,
            part,
            "Ground not known",
            "the height of the ground is not known, so neither is the limit",
            "add terrain that covers this stretch, or keep the path inside what is covered",
        )
    for part in stretches(track, np.isnan(track.planned_amsl_m) & ~no_ground):
        yield _unknown(
            case,
            part,
            "Planned height not known",
            "the planned height counts from ground whose height is not known",
            "add terrain that covers the launch point and both ends of the leg, or give heights above ground",
        )


def _unknown(case: Case, part: Stretch, title: str, what: str, remedy: str) -> Finding:
    track = case.track
    return Finding(
        rule="ground-not-known",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=title,
        message=f"From {along(part.from_m)} to {along(part.to_m)} {what}.",
        citation=height_rule(case.plan.purpose),
        remedy=remedy,
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, part.first) if track else None,
    )


RULES = (above_limit, close_under_limit, into_ground, unknown_ground)
