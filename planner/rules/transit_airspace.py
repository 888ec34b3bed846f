"""What closes or asks on a way that is not drawn, and is not opened there by what is on record."""

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import Grant, grants_for
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.flown import flown
from planner.rules.inquiries import inquiries
from planner.rules.undrawn import UndrawnWay, launch_ground_m
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, AirspaceVolume

Mask = NDArray[np.bool_]


def crossed(case: Case, mapped: Mapped, way: UndrawnWay) -> str:
    """Return what a way leads through that the drawn flight does not tell and no record opens, '' if nothing.

    A record opens as much as its outlines and its height say, as along the path.
    """
    for column in map(int, mapped.outlines.columns_near(np.array(way.line.bounds))):
        volume = mapped.airspace.get(column)
        if volume is not None and _restricts(case, volume):
            trouble = _trouble(case, mapped, way, column, volume)
            if trouble:
                return trouble
    return ""


def _restricts(case: Case, volume: AirspaceVolume) -> bool:
    closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
    return (closes or inquired_of(volume, case.plan.purpose)) and is_active(volume, case.plan.window)


def _trouble(case: Case, mapped: Mapped, way: UndrawnWay, column: int, volume: AirspaceVolume) -> str:
    samples = within_outline(mapped, way, column)
    if samples is None:
        return ""
    met = at_its_height(volume, samples)
    if not met.any():
        return ""
    grants = _grants(case, mapped, volume)
    if _told_anyway(case, column, volume):
        return ""
    name = volume.name or "an airspace without a name"
    in_plan, opened = _opened(case, volume, samples, grants)
    if opened[met].all():
        return ""
    return f"{name} above what its record allows" if in_plan[met].all() else name


def within_outline(mapped: Mapped, way: UndrawnWay, column: int) -> WaySamples | None:
    """Return samples of the part of a way in an outline, its ends among them; of a column, the places."""
    outline = mapped.outlines.polygon(column)
    if way.is_column:
        places = np.asarray(way.line.coords)[:, :2]
        places = places[shapely.intersects_xy(outline, places[:, 0], places[:, 1])]
        if not len(places):
            return None
        ground_m = mapped.ground.ground(*places.T) if mapped.ground else np.full(len(places), np.nan)
        return sample_way(mapped, places, np.full(len(places), way.planned_amsl_m[-1]), ground_m)
    inside = shapely.intersection(outline, way.line)
    if inside.is_empty:
        return None
    shares = way.shares_on(inside)
    return sample_way(mapped, way.places(shares), way.height_amsl_m(shares))


def at_its_height(volume: AirspaceVolume, samples: WaySamples) -> Mask:
    """Return where the way lies in the volume at its height; a height that is not known does."""
    with np.errstate(invalid="ignore"):
        floor_m = floor_amsl_m(volume, samples)
        # As of the path: a floor itself still belongs to what is below, where Class G ends there.
        in_g = volume.kind is AirspaceKind.CLASS_E_OTHER
        below = samples.planned_amsl_m < floor_m + (TOLERANCE_M if in_g else 0.0)
        above = samples.flown_from_amsl_m > top_amsl_m(volume, samples)
    return np.asarray(~below & ~above)


def _grants(case: Case, mapped: Mapped, volume: AirspaceVolume) -> tuple[Grant, ...]:
    of_volume = answers_on if inquired_of(volume, case.plan.purpose) else grants_for
    return of_volume(volume, case.plan, mapped)


def _told_anyway(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether it is told that the flight, this way included, has to ask for an airspace."""
    if inquired_of(volume, case.plan.purpose):
        return any(column in one.columns and not one.answers for one in inquiries(case))
    found = [use.need for use in case.uses if column in use.volumes]
    if volume.kind in NEEDS_AUTHORIZATION:
        return any(not need.recorded for need in found)
    return flown(case, column, volume) and not any(need.recorded for need in found)


def _opened(
    case: Case, volume: AirspaceVolume, samples: WaySamples, grants: tuple[Grant, ...]
) -> tuple[Mask, Mask]:
    """Return, per sample, whether a record holds at its place, and whether it holds at its height, too."""
    launch_m = launch_ground_m(case)
    asked_m = np.minimum(samples.planned_amsl_m, top_amsl_m(volume, samples))
    in_plan = opened = np.zeros(len(samples.x_m), dtype=bool)
    for grant in grants:
        there = grant.covers(samples)
        with np.errstate(invalid="ignore"):
            in_plan, opened = (
                in_plan | there,
                opened | there & (asked_m <= grant.height_amsl_m(samples, launch_m) + TOLERANCE_M),
            )
    return in_plan, opened
