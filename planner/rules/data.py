"""Rules on the data that the answer rests on."""

import math
from collections.abc import Iterator

from planner.permission.need import Subject
from planner.plan.model import Purpose
from planner.rules.bibliography import OPERATING_RULES, notices_rule
from planner.rules.case import Case
from planner.rules.data_status import DataStatus, windows_in_force
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.moments import moment
from planner.rules.unknowns import TABLE, Unknown, Weight
from planner.rules.words import capitalised
from planner.units import ft_from_m
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from planner.world.terrain import SurfaceKind

STATE_WORDS = {
    LayerState.MISSING: "is missing",
    LayerState.EXPIRED: "has expired by the time of the flight",
    LayerState.NOT_YET_EFFECTIVE: "is not yet in force at the time of the flight",
    LayerState.NOT_COVERING: "does not cover all of this place",
    LayerState.UNDATED: "does not say from when to when it holds",
    LayerState.DAMAGED: "can't be read",
    LayerState.OTHER_JURISDICTION: "was made for another jurisdiction",
    LayerState.OK: "is current here",
}


def restricting_layers(case: Case) -> Iterator[Finding]:
    """Yield an unknown for each restricting layer that can't be relied on."""
    what = {row.layer: row for row in TABLE if row.layer is not None}
    for status in case.data:
        if status.state is LayerState.OK or status.weight is not Weight.RESTRICTING:
            continue
        if status.layer is LayerName.FACILITY_MAP and not _cells_matter(case):
            continue
        row = what[status.layer]
        damage = status.record.damage if status.record and status.state is LayerState.DAMAGED else ""
        yield Finding(
            rule=f"data-{status.layer.value.replace('_', '-')}",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title=f"Data on {row.what} {STATE_WORDS[status.state]}",
            message=f"{capitalised(row.reason)}." + (f" {damage}" if damage else ""),
            citation=notices_rule(case.plan.purpose),
            remedy=_other_window(case, status) + _where_to_get(row, status),
        )


def _where_to_get(row: Unknown, status: DataStatus) -> str:
    publisher = status.record.publisher if status.record else ""
    by = f" (last from {publisher})" if publisher else ""
    return f"load current data on {row.what} for this place and time: {row.source}{by}"


def _other_window(case: Case, status: DataStatus) -> str:
    """Return 'end the window by …, or ' where what is loaded holds for a part of it, '' else."""
    window = case.plan.window
    if window is None or status.state not in (LayerState.EXPIRED, LayerState.NOT_YET_EFFECTIVE):
        return ""
    parts = [part for part in windows_in_force(case.plan, case.world, status.layer) if part != window]
    early = [part.end_utc for part in parts if part.start_utc == window.start_utc]
    late = [part.start_utc for part in parts if part.end_utc == window.end_utc]
    ways = [f"end the window by {moment(at, window)}" for at in early]
    ways += [f"begin it at {moment(at, window)} or later" for at in late]
    return f"what is loaded holds for a part of the time: {' or '.join(ways)}; or " if ways else ""


def _cells_matter(case: Case) -> bool:
    return case.plan.purpose is not Purpose.PART_107 and _needs_airspace(case)


def _cells_left_out(case: Case, status: DataStatus) -> bool:
    """Whether a facility map can't be used where it would say what to ask for; a flight may go without."""
    used = status.state in (LayerState.UNDATED, LayerState.NOT_COVERING)
    of_cells = status.layer is LayerName.FACILITY_MAP and not used
    return of_cells and not _cells_matter(case) and _needs_airspace(case)


def _needs_airspace(case: Case) -> bool:
    return any(need.subject is Subject.AIRSPACE and not need.recorded for need in case.needs)


def other_layers(case: Case) -> Iterator[Finding]:
    """Yield a note for each other layer that is given but can't be relied on."""
    what = {row.layer: row for row in TABLE if row.layer is not None}
    for status in case.data:
        if status.state in (LayerState.OK, LayerState.MISSING):
            continue
        if status.weight is Weight.RESTRICTING and not _cells_left_out(case, status):
            continue
        row = what[status.layer]
        consequence = "it counts as not checked" if status.weight is Weight.ADVISORY else "it grants nothing"
        yield Finding(
            rule=f"data-{status.layer.value.replace('_', '-')}",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"Data on {row.what} {STATE_WORDS[status.state]}",
            message=f"So {consequence}: {row.reason}." + _damage(status),
        )


def _damage(status: DataStatus) -> str:
    return f" {status.record.damage}" if status.record and status.record.damage else ""


def terrain_quality(case: Case) -> Iterator[Finding]:
    """Yield an act where the terrain is not bare earth, a note where its accuracy is assumed."""
    terrain = case.world.terrain
    if terrain is None:
        return
    if terrain.surface is not SurfaceKind.BARE_EARTH:
        known = terrain.surface is SurfaceKind.SURFACE
        yield Finding(
            rule="terrain-kind",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Terrain may include trees and roofs",
            message=(
                "The terrain is a surface model"
                if known
                else "The terrain does not say whether it is bare earth"
            )
            + "; heights of trees or roofs in it make the limit look higher than it is.",
            citation="common practice",
            remedy="use bare-earth terrain, or keep well under the ceiling",
        )
    if terrain.uncertainty_assumed:
        yield Finding(
            rule="terrain-accuracy-assumed",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title="Accuracy of the terrain is assumed",
            message=(
                f"Its file states none; {terrain.vertical_uncertainty_m:.0f} m in height and "
                f"{terrain.horizontal_uncertainty_m:.0f} m in place are assumed."
            ),
        )


def terrain_unit(case: Case) -> Iterator[Finding]:
    """Yield a note where metres are assumed, with a height to compare; nobody can in an invented place."""
    terrain = case.world.terrain
    if terrain is None or not terrain.unit_assumed or case.world.invented:
        return
    ground_m = case.track.launch_ground_amsl_m if case.track is not None else math.nan
    at_launch = (
        f" The launch lies at {ft_from_m(ground_m):,.0f} ft ({ground_m:,.0f} m) by it."
        if math.isfinite(ground_m)
        else ""
    )
    yield Finding(
        rule="terrain-unit",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title="Unit of the terrain's heights is assumed",
        message=f"Its file does not say it; metres are taken.{at_launch}",
        citation="common practice",
        remedy="compare with the height of a known place nearby",
    )


def jurisdiction(case: Case) -> Iterator[Finding]:
    """Yield an unknown without any chart set that says whose rules hold here."""
    if not case.world.jurisdictions and not case.world.layers:
        yield Finding(
            rule="no-charts",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="No charts",
            message="No charts are given, so nothing is known of this place.",
            citation=OPERATING_RULES,
            remedy="add a chart set that covers the place",
        )


RULES = (restricting_layers, other_layers, terrain_quality, terrain_unit, jurisdiction)
