"""The permissions a plan needs, each matched with the records in hand."""

from collections.abc import Iterable, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.permission.cells import SNAP_M, TouchedCells, flight_lines, touched_cells
from planner.permission.entries import entered, is_active
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.records import Grant, grants_for
from planner.permission.routes import LEAD_TIMES, TOLERANCE_M, Circumstances, route_in_controlled
from planner.permission.shortfall import shortfall
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, AirspaceVolume

Mask = NDArray[np.bool_]

_CLASS_LETTERS = {
    AirspaceKind.CLASS_B: "B",
    AirspaceKind.CLASS_C: "C",
    AirspaceKind.CLASS_D: "D",
    AirspaceKind.CLASS_E2: "E",
}


@attrs.frozen(eq=False)
class AirspaceUse:
    """A flight's use of one airspace: its need, and the lowest cell value for asking.

    `volumes` are columns of the airspace's volumes in the mapped world.
    """

    need: PermissionNeed
    volumes: tuple[int, ...]
    cells: TouchedCells


def airspace_uses(
    plan: Plan, mapped: Mapped, track: Track | None, area: AreaSamples | None
) -> tuple[AirspaceUse, ...]:
    """Return the airspace whose permission the plan needs, recorded or not.

    Volumes of one name and kind are one airspace.
    """
    groups: dict[tuple[str, AirspaceKind], list[int]] = {}
    for column, volume in mapped.airspace.items():
        asks = volume.kind in NEEDS_AUTHORIZATION or volume.kind in FORBIDDEN_WHILE_ACTIVE
        if asks and is_active(volume, plan.window):
            groups.setdefault((volume.name, volume.kind), []).append(column)
    scene = _Scene(plan, mapped, track, area)
    uses = (scene.use(columns) for _, columns in sorted(groups.items()))
    return tuple(use for use in uses if use is not None)


@attrs.frozen(eq=False)
class _Scene:
    plan: Plan
    mapped: Mapped
    track: Track | None
    area: AreaSamples | None

    def use(self, columns: Sequence[int]) -> AirspaceUse | None:
        """Return the use of the airspace made of these columns, None if not entered."""
        parts = [
            part
            for samples in (self.track, self.area)
            if samples is not None
            for part in (_Part.of(samples, columns, self),)
            if part.entered.any()
        ]
        if not parts:
            return None
        volume = self.mapped.airspace[columns[0]]
        launch_m = self._launch_m()
        asked = _greatest(part.asked_agl_m() for part in parts)
        record, why_not = self._match(parts, columns, launch_m)
        if volume.kind in FORBIDDEN_WHILE_ACTIVE:
            cells = TouchedCells((), complete=False)
            subject = Subject.AREA_CLOSED_BY_AGENCY
            route: Route = Route.AGENCY
            others: tuple[Route, ...] = ()
        else:
            cells = self._cells(parts)
            subject = Subject.AIRSPACE
            route, others = route_in_controlled(
                Circumstances(
                    purpose=self.plan.purpose,
                    asked_agl_m=asked,
                    cell_agl_m=cells.ceiling_agl_m,
                    automated=cells.automated,
                    in_fixed_site=self._in_fixed_site(parts),
                )
            )
        span = self._span(columns)
        need = PermissionNeed(
            subject=subject,
            airspace=volume.name,
            airspace_class=_CLASS_LETTERS.get(volume.kind, ""),
            route=route,
            alternatives=others,
            cell_ceiling_agl_m=cells.ceiling_agl_m,
            asked_agl_m=asked,
            lead_time=LEAD_TIMES[route],
            record=record,
            shortfall=why_not,
            from_m=span[0] if span else None,
            to_m=span[1] if span else None,
            place=parts[0].first_place(self.mapped),
            cells=tuple(cell.key for cell in cells.cells),
        )
        return AirspaceUse(need, tuple(columns), cells)

    def _launch_m(self) -> float:
        if self.track is not None:
            return self.track.launch_ground_amsl_m
        return self.area.launch_ground_amsl_m if self.area is not None else float("nan")

    def _match(
        self, parts: Sequence["_Part"], columns: Sequence[int], launch_m: float
    ) -> tuple[PermissionRecord | None, str]:
        volumes = [self.mapped.airspace[column] for column in columns]
        grants = [grant for volume in volumes for grant in grants_for(volume, self.plan, self.mapped)]
        if all(part.covered_by(grants, launch_m).all() for part in parts) and grants:
            return self._most_covering(grants, parts, launch_m), ""
        return None, shortfall(
            volumes[0], self.plan, grants, [(p.samples, p.entered) for p in parts], launch_m
        )

    def _most_covering(
        self, grants: Sequence[Grant], parts: Sequence["_Part"], launch_m: float
    ) -> PermissionRecord:
        def covered(grant: Grant) -> tuple[int, str]:
            total = sum(int(part.covered_by([grant], launch_m).sum()) for part in parts)
            return total, grant.record.reference

        return max(grants, key=covered).record

    def _cells(self, parts: Sequence["_Part"]) -> TouchedCells:
        flight = shapely.union_all([part.footprint(self.mapped) for part in parts])
        box = np.array(flight.bounds) + np.array([-SNAP_M, -SNAP_M, SNAP_M, SNAP_M])
        near = [int(column) for column in self.mapped.outlines.columns_near(box)]
        return touched_cells(flight, [column for column in near if column in self.mapped.cells], self.mapped)

    def _in_fixed_site(self, parts: Sequence["_Part"]) -> bool:
        return any(
            all(part.samples.inside_outline(column)[part.entered].all() for part in parts)
            for column in self.mapped.sites
        )

    def _span(self, columns: Sequence[int]) -> tuple[float, float] | None:
        if self.track is None:
            return None
        there = self.track.distance_m[_Part.of(self.track, columns, self).entered]
        return (float(there.min()), float(there.max())) if len(there) else None


@attrs.frozen(eq=False)
class _Part:
    """The samples of path or area that lie in one airspace."""

    samples: Track | AreaSamples
    entered: Mask
    columns: tuple[int, ...]
    volumes: tuple[AirspaceVolume, ...]

    @classmethod
    def of(cls, samples: Track | AreaSamples, columns: Sequence[int], scene: _Scene) -> "_Part":
        volumes = tuple(scene.mapped.airspace[column] for column in columns)
        inside = np.zeros(len(samples.ground_amsl_m), dtype=bool)
        for column, volume in zip(columns, volumes, strict=True):
            there = samples.inside_outline(column)
            if there.any():
                inside |= entered(volume, there, samples)
        return cls(samples, inside, tuple(columns), volumes)

    def asked_agl_m(self) -> float:
        above = self.samples.planned_amsl_m - self.samples.lowest_ground_amsl_m
        return float(np.max(above[self.entered]))

    def covered_by(self, grants: Sequence[Grant], launch_m: float) -> Mask:
        planned = self.samples.planned_amsl_m
        covered = np.zeros(len(planned), dtype=bool)
        for grant in grants:
            with np.errstate(invalid="ignore"):
                low_enough = planned <= grant.height_amsl_m(self.samples, launch_m) + TOLERANCE_M
            covered |= grant.covers(self.samples) & low_enough
        return covered[self.entered]

    def footprint(self, mapped: Mapped) -> BaseGeometry:
        if isinstance(self.samples, Track):
            return flight_lines(self.samples.x_m, self.samples.y_m, self.entered)
        shapes = [mapped.outlines.polygon(column) for column in self.columns]
        used = [
            shape
            for column, shape in zip(self.columns, shapes, strict=True)
            if (self.samples.inside_outline(column) & self.entered).any()
        ]
        return shapely.intersection(shapely.union_all(used), self.samples.footprint)

    def first_place(self, mapped: Mapped) -> Place:
        first = int(np.argmax(self.entered))
        return mapped.frame.xy_to_place(float(self.samples.x_m[first]), float(self.samples.y_m[first]))


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
