"""The permissions a plan needs, each matched with the records in hand."""

import math
from collections.abc import Iterable, Iterator, Sequence

import attrs
import numpy as np
import shapely

from planner.permission.cells import SNAP_M, TouchedCells, touched_cells
from planner.permission.entries import is_active
from planner.permission.matching import Matched, match_records
from planner.permission.namesakes import called, has_namesakes, identity
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.on_the_edge import LOW_M, beside_agl_m
from planner.permission.part import Part
from planner.permission.records import grants_for
from planner.permission.routes import LEAD_TIMES, Circumstances, route_in_controlled
from planner.permission.shortfall import Flown, Held
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.track.way_samples import WaySamples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, LimitReference

_CLASS_LETTERS = {
    AirspaceKind.CLASS_A: "A",
    AirspaceKind.CLASS_B: "B",
    AirspaceKind.CLASS_C: "C",
    AirspaceKind.CLASS_D: "D",
    AirspaceKind.CLASS_E2: "E",
}


@attrs.frozen(eq=False)
class AirspaceUse:
    """A flight's use of one airspace: its need, and the lowest cell value for asking.

    `volumes` are columns of the airspace's volumes in the mapped world, `in_sites` those of the fixed sites
    that hold all that is flown there.
    """

    need: PermissionNeed
    volumes: tuple[int, ...]
    cells: TouchedCells
    in_sites: tuple[int, ...] = ()


def airspace_uses(
    plan: Plan,
    mapped: Mapped,
    track: Track | None,
    area: AreaSamples | None,
    spots: AreaSamples | None,
    ways: Sequence[WaySamples] = (),
) -> tuple[AirspaceUse, ...]:
    """Return the airspace whose permission the plan needs, recorded or not.

    `spots` is the ground of launch and landing: whoever takes off inside an
    airspace flies in it. `ways` are flown, but not drawn: of what closes unless an agency permits they make
    no need, and where something is drawn in an airspace its records are held against that alone.
    Volumes of one name and kind are one airspace, closed ones only if identifier or notice and agency are
    one, too.
    """
    scene = _Scene(plan, mapped, tuple(samples for samples in (track, area, spots) if samples is not None))
    uses = (scene.use(columns, ways) for columns in _airspaces(plan, mapped, FORBIDDEN_WHILE_ACTIVE))
    return tuple(use for use in uses if use is not None)


def uses_besides(
    plan: Plan, mapped: Mapped, known: Sequence[AirspaceUse], ways: Sequence[WaySamples], launch_m: float
) -> tuple[AirspaceUse, ...]:
    """Return the airspace to ask for that ways alone enter, beside what is known to be used.

    `launch_m` is the ground of the launch point [m AMSL].
    """
    scene = _Scene(plan, mapped, (), launch_m)
    told = {column for use in known for column in use.volumes}
    uses = (
        scene.use(columns, ways) for columns in _airspaces(plan, mapped) if not told.intersection(columns)
    )
    return tuple(use for use in uses if use is not None)


def _airspaces(
    plan: Plan, mapped: Mapped, closing: frozenset[AirspaceKind] = frozenset()
) -> Iterator[list[int]]:
    """Yield the columns of each airspace that may be active and asks, or is of a closing kind."""
    groups: dict[tuple[str, AirspaceKind, tuple[str, ...]], list[int]] = {}
    for column, volume in mapped.airspace.items():
        asks = volume.kind in NEEDS_AUTHORIZATION or volume.kind in closing
        if asks and is_active(volume, plan.window):
            groups.setdefault((volume.name, volume.kind, identity(volume)), []).append(column)
    yield from (columns for _, columns in sorted(groups.items()))


def route_over(
    plan: Plan, asked_agl_m: float | None, cells: TouchedCells, in_sites: Sequence[int]
) -> tuple[Route, tuple[Route, ...]]:
    """Return by which route a height over cells is asked for in controlled airspace, and by which others.

    `in_sites` are the fixed sites that hold all of it.
    """
    return route_in_controlled(
        Circumstances(
            purpose=plan.purpose,
            asked_agl_m=asked_agl_m,
            cell_agl_m=cells.ceiling_agl_m,
            automated=cells.automated,
            in_fixed_site=bool(in_sites),
        )
    )


@attrs.frozen(eq=False)
class _Scene:
    plan: Plan
    mapped: Mapped
    flown: tuple[Track | AreaSamples, ...]
    launch_m: float = math.nan

    def use(self, columns: Sequence[int], ways: Sequence[WaySamples]) -> AirspaceUse | None:
        """Return the use of the airspace made of these columns, None if not entered."""
        volume = self.mapped.airspace[columns[0]]
        drawn = self._parts(self.flown, columns)
        parts = drawn if volume.kind in FORBIDDEN_WHILE_ACTIVE else [*drawn, *self._parts(ways, columns)]
        if not parts:
            return None
        asked = _greatest(part.asked_agl_m() for part in parts)
        if asked is not None and asked < LOW_M:
            asked = _greatest([asked, beside_agl_m(self.mapped, columns, (*self.flown, *ways))])
        as_drawn = _greatest(part.asked_agl_m() for part in drawn) if drawn else None
        records, fault = self._match(drawn or parts, columns)
        sites: tuple[int, ...] = ()
        if volume.kind in FORBIDDEN_WHILE_ACTIVE:
            cells = TouchedCells((), complete=False)
            subject = Subject.AREA_CLOSED_BY_AGENCY
            route: Route = Route.AGENCY
            others: tuple[Route, ...] = ()
        else:
            cells, sites = self._cells(parts), self._in_sites(parts)
            subject = Subject.AIRSPACE
            route, others = route_over(self.plan, asked, cells, sites)
        span = path_span(parts)
        need = PermissionNeed(
            subject=subject,
            airspace=called(volume) if has_namesakes(volume, self.plan, self.mapped) else volume.name,
            airspace_class=_CLASS_LETTERS.get(volume.kind, ""),
            route=route,
            alternatives=others,
            cell_ceiling_agl_m=cells.ceiling_agl_m,
            asked_agl_m=asked,
            lead_time=LEAD_TIMES[route],
            record=records[0] if records else None,
            beside=records[1:],
            shortfall=fault.words,
            falls_short=fault.record,
            from_m=span[0] if span else None,
            to_m=span[1] if span else None,
            place=parts[0].first_place(self.mapped),
            cells=tuple(cell.key for cell in cells.cells),
            floor_amsl_m=self._floor_amsl_m(parts),
            rests_at_times=self._rest_at_times(parts),
            not_drawn=not drawn,
            # Of launch or landing alone the way to it is what is planned there.
            way_rise_m=asked - as_drawn if asked is not None and as_drawn else 0.0,
        )
        return AirspaceUse(need, tuple(columns), cells, sites)

    def _rest_at_times(self, parts: Sequence[Part]) -> bool:
        return all(self.mapped.airspace[column].rests_at_times for part in parts for column in part.by_volume)

    def _parts(self, flown: Sequence[Flown], columns: Sequence[int]) -> list[Part]:
        parts = (Part.of(samples, columns, self.mapped) for samples in flown)
        return [part for part in parts if part.by_volume]

    def _match(self, parts: Sequence[Part], columns: Sequence[int]) -> Matched:
        launch_m = self.flown[0].launch_ground_amsl_m if self.flown else self.launch_m
        volumes = {column: self.mapped.airspace[column] for column in columns}
        grants = {column: grants_for(volume, self.plan, self.mapped) for column, volume in volumes.items()}
        return match_records(parts, grants, volumes[columns[0]], self.plan, Held(self.mapped, launch_m))

    def _cells(self, parts: Sequence[Part]) -> TouchedCells:
        flight = shapely.union_all([part.footprint(self.mapped) for part in parts])
        box = np.array(flight.bounds) + np.array([-SNAP_M, -SNAP_M, SNAP_M, SNAP_M])
        near = [int(column) for column in self.mapped.outlines.columns_near(box)]
        return touched_cells(flight, [column for column in near if column in self.mapped.cells], self.mapped)

    def _floor_amsl_m(self, parts: Sequence[Part]) -> float | None:
        floors = [self.mapped.airspace[column].floor for part in parts for column in part.by_volume]
        if any(floor.reference is not LimitReference.SEA_LEVEL for floor in floors):
            return None
        return min(floor.m for floor in floors)

    def _in_sites(self, parts: Sequence[Part]) -> tuple[int, ...]:
        return tuple(
            column
            for column in self.mapped.sites
            if all(part.samples.inside_outline(column)[part.entered].all() for part in parts)
        )


def path_span(parts: Sequence[Part]) -> tuple[float, float] | None:
    """Return the first and last distance of the part along the path."""
    for part in parts:
        if isinstance(part.samples, Track):
            there = part.samples.distance_m[part.entered]
            return float(there.min()), float(there.max())
    return None


def _greatest(values: Iterable[float]) -> float | None:
    found = list(values)
    return max(found) if all(np.isfinite(found)) else None


def land_needs(plan: Plan) -> tuple[PermissionNeed, ...]:
    """Return the leave still needed for launch and landing ground."""
    return tuple(
        PermissionNeed(
            subject=Subject.LAND,
            airspace=name,
            airspace_class="",
            route=Route.LANDOWNER,
            lead_time=LEAD_TIMES[Route.LANDOWNER],
            place=spot.place,
        )
        for name, spot in (("launch point", plan.launch), ("landing point", plan.landing))
        if spot is not None and not spot.settled
    )
