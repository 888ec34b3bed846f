"""Rules on the flying area: its whole volume is judged, path or not."""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.profile import AreaCeiling
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.permission.routes import TOLERANCE_M
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.height_permission import height_need, or_permission, short_by
from planner.rules.readout import uncertain
from planner.rules.stretches import place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.samples import MOST_NODES, WIDEST_M
from planner.track.track import Track


def area_height(case: Case) -> Iterator[Finding]:
    """Yield what the area's top means against the lowest limit over it."""
    area = case.area
    if area is None:
        if case.plan.area is not None and case.mapped is not None and case.area_samples is None:
            yield _too_large(case)
        return
    if area.unknown_share > 0:
        yield _unknown(case, area)
    if case.plan.area is not None and case.plan.area.top is None and len(case.plan.path) < 2:
        yield Finding(
            rule="area-without-top",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="Area has no top",
            message="The flying area names no height, so it can't be judged how high the flight goes.",
            citation=height_rule(case.plan.purpose),
            remedy="give the area a top height",
            place=area.place,
        )
    if area.over_height_limit_m is not None and area.over_height_limit_m > TOLERANCE_M:
        yield _over(case, area, area.over_height_limit_m)
        return
    crossed = area.in_closed or area.in_unpermitted
    # A top above what only the authority can open is told as that question.
    if area.over_by_m is None or crossed or area.over_by_m > TOLERANCE_M:
        return
    if -area.over_by_m < area.uncertainty_m:
        yield _close(case, area, -area.over_by_m)


def _too_large(case: Case) -> Finding:
    return Finding(
        rule="area-too-large",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title="Flying area too large to judge",
        message=(
            f"It is wider than {WIDEST_M / 1000:.0f} km, or more than {MOST_NODES:,} cells of terrain lie in "
            "and around it, so it is not judged."
        ),
        citation=height_rule(case.plan.purpose),
        remedy="draw a smaller area, or use coarser terrain",
    )


def _unknown(case: Case, area: AreaCeiling) -> Finding:
    return Finding(
        rule="area-ground-not-known",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title="Ground of the area not known",
        message=f"For {math.ceil(area.unknown_share * 100):d} % of the flying area the height of the ground "
        "is not known.",
        citation=height_rule(case.plan.purpose),
        remedy="add terrain that covers the area, or draw it smaller",
        place=area.place,
    )


def _over(case: Case, area: AreaCeiling, over_m: float) -> Finding:
    return Finding(
        rule="area-above-limit",
        mark=Mark.STOP,
        basis=Basis.LAW,
        title=f"Area's top is {over_ft(over_m)} above the limit",
        message=(
            f"Where there is least room the area's top is {over_ft(over_m)} above what the rules on height "
            f"allow: 400 ft above the ground, unless something near raises that.{short_by(case)}"
        ),
        citation=height_rule(case.plan.purpose),
        remedy=(
            f"lower the area's top by {over_ft(over_m)}, or let it follow the ground{_or_permission(case)}"
        ),
        place=area.height_limit_place,
        numbers={"over_m": over_m, "uncertainty_m": area.uncertainty_m},
    )


def _or_permission(case: Case) -> str:
    """Return by which permission the height could be had, where one is in question at all."""
    # Of a recreational flight only the height at a fixed site is in question.
    return or_permission(case, in_site=True) if height_need(case) is not None else ""


def _close(case: Case, area: AreaCeiling, room_m: float) -> Finding:
    return Finding(
        rule="area-close-under-limit",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Area's top is close under the limit",
        message=(
            f"Where there is least room the top is {room_ft(max(room_m, 0.0))} under the limit; "
            f"{over_ft(area.uncertainty_m)} are {uncertain(case)}."
        ),
        citation=height_rule(case.plan.purpose),
        remedy="lower the area's top",
        place=area.place,
        numbers={"room_m": room_m, "uncertainty_m": area.uncertainty_m},
    )


def path_outside_area(case: Case) -> Iterator[Finding]:
    """Yield a stop for each stretch of the path that leaves the pilot's own area."""
    track, samples = case.track, case.area_samples
    if track is None or samples is None:
        return
    for part in stretches(track, _outside(track, samples.footprint)):
        yield Finding(
            rule="path-outside-area",
            mark=Mark.STOP,
            basis=Basis.OWN_LIMIT,
            title="Path leaves the flying area",
            message=f"From {along(part.from_m)} to {along(part.to_m)} the path lies outside the area drawn.",
            remedy="draw the area wider, or move the path inside",
            from_m=part.from_m,
            to_m=part.to_m,
            place=place_at(track, part.first),
        )


def _outside(track: Track, footprint: BaseGeometry) -> NDArray[np.bool_]:
    """Return which samples lie outside, or at an end of a piece of the path that is outside in between."""
    allowed = footprint.buffer(0.5)
    shapely.prepare(allowed)
    points = np.column_stack([track.x_m, track.y_m])
    leaves = ~shapely.covers(allowed, shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)))
    outside = ~np.asarray(shapely.intersects_xy(allowed, track.x_m, track.y_m), dtype=bool)
    hidden = leaves & ~outside[:-1] & ~outside[1:]
    outside[:-1] |= hidden
    outside[1:] |= hidden
    return outside


def path_above_area(case: Case) -> Iterator[Finding]:
    """Yield a stop for each stretch of the path that climbs out of the pilot's own area."""
    track, area = case.track, case.plan.area
    if track is None or area is None or area.top is None:
        return
    over = track.planned_amsl_m - _top_along(area.top, track)
    with np.errstate(invalid="ignore"):
        above = over > TOLERANCE_M
    for part in stretches(track, above):
        worst = part.first + int(np.argmax(over[part.slice]))
        yield Finding(
            rule="path-above-area",
            mark=Mark.STOP,
            basis=Basis.OWN_LIMIT,
            title="Path climbs above the area's top",
            message=f"At {along(float(track.distance_m[worst]))} it is {over_ft(float(over[worst]))} above.",
            remedy="lower the path, or raise the area's top",
            from_m=part.from_m,
            to_m=part.to_m,
            place=place_at(track, worst),
            numbers={"over_m": float(over[worst])},
        )


def _top_along(top: Height, track: Track) -> NDArray[np.float64]:
    match top:
        case AboveGround():
            return np.asarray(track.ground_amsl_m + top.m)
        case AboveLaunch():
            return np.full(len(track), track.launch_ground_amsl_m + top.m)
        case AboveSeaLevel():
            return np.full(len(track), top.m)


def area_without_room(case: Case) -> Iterator[Finding]:
    """Yield an unknown for an area whose top lies nowhere above the ground: nothing of it can be flown."""
    samples = case.area_samples
    no_top = case.plan.area is None or case.plan.area.top is None
    if samples is None or case.area is None or no_top or not len(samples.ground_amsl_m):
        return
    with np.errstate(invalid="ignore"):
        room = samples.planned_amsl_m - samples.ground_amsl_m > TOLERANCE_M
    if not room.any() and np.isfinite(samples.ground_amsl_m).all():
        yield Finding(
            rule="area-without-room",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="Area's top lies under the ground",
            message="The top of the flying area is nowhere above the ground, so there is nothing to judge.",
            citation=height_rule(case.plan.purpose),
            remedy="correct the area's top height, or what it counts from",
            place=case.area.place,
        )


RULES = (area_height, area_without_room, path_outside_area, path_above_area)
