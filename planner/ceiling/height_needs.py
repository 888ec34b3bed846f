"""Permission to go above the height limit itself: a waiver, or the authorization of a fixed site."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.open_limit import class_e_floor_amsl_m, open_limit
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.records import (
    Grant,
    in_order,
    in_time,
    ring_column,
    site_grants,
    speaks_of,
    waives_height,
)
from planner.permission.resting import Kept, rested_on
from planner.permission.routes import LEAD_TIMES, TOLERANCE_M
from planner.permission.shortfall import NO_SHORTFALL, Held, Shortfall, late_one, nearest
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.sites import FixedSite

Mask = NDArray[np.bool_]
Records = tuple[PermissionRecord, ...]

HEIGHT_SECTION = "14 CFR 107.51(b)"


def height_needs(
    plan: Plan, mapped: Mapped, flown: Sequence[Track | AreaSamples]
) -> tuple[PermissionNeed, ...]:
    """Return the permission for what is flown above the limit, recorded or not; none where nothing is.

    Under Part 107 only if a waiver is on record: until then the limit stands.
    A recreational flight needs it at a fixed site alone (49 USC 44809(c)(2)).
    """
    waivers = tuple(record for record in in_order(plan.permissions) if waives_height(record))
    asks = waivers if plan.purpose is Purpose.PART_107 else mapped.sites
    if plan.purpose is None or not asks:
        return ()
    over = _Over.of(plan, mapped, flown)
    if not over.whole:
        return ()
    if plan.purpose is Purpose.PART_107:
        return (over.need(Subject.HEIGHT_LIMIT, HEIGHT_SECTION, Route.WAIVER, waivers),)
    site = over.site()
    if site is None:
        return ()
    named = tuple(record for record in in_order(plan.permissions) if _authorizes(record, site))
    return (over.need(Subject.SITE_HEIGHT, site.name, Route.SITE_AUTHORIZATION, named),)


def _authorizes(record: PermissionRecord, site: FixedSite) -> bool:
    return record.kind is PermissionKind.AUTHORIZATION and speaks_of(record, site.name, site.key)


@attrs.frozen(eq=False)
class _Over:
    """What is flown above the limit that holds without any record."""

    plan: Plan
    mapped: Mapped
    parts: tuple[tuple[Track | AreaSamples, Mask], ...]

    @classmethod
    def of(cls, plan: Plan, mapped: Mapped, flown: Sequence[Track | AreaSamples]) -> "_Over":
        bare = attrs.evolve(plan, permissions=())
        return cls(plan, mapped, tuple((samples, above_limit(samples, bare, mapped)) for samples in flown))

    @property
    def whole(self) -> int:
        return sum(int(over.sum()) for _, over in self.parts)

    def covered(self, kept: Kept) -> int:
        """Return how many samples lie no longer above the limit with some records."""
        held = attrs.evolve(self.plan, permissions=tuple(in_order(kept)))
        return sum(
            int((over & ~above_limit(samples, held, self.mapped)).sum())
            for samples, over in self.parts
            if over.any()
        )

    def site(self) -> FixedSite | None:
        """Return the site in which most of it lies, None if none of it lies in any."""
        shares = {
            column: sum(int((over & samples.inside_outline(column)).sum()) for samples, over in self.parts)
            for column in self.mapped.sites
        }
        column = max(shares, key=lambda one: shares[one])
        return self.mapped.sites[column] if shares[column] else None

    def need(self, subject: Subject, name: str, route: Route, named: Records) -> PermissionNeed:
        covers = bool(named) and self.covered(frozenset(named)) == self.whole
        records = rested_on(named, self.covered, self.whole) if covers else ()
        fault = NO_SHORTFALL if covers else self._shortfall(named)
        samples, over = next(part for part in self.parts if part[1].any())
        first = int(np.argmax(over))
        above_m = [
            float(np.max((each.planned_amsl_m - each.lowest_ground_amsl_m)[there]))
            for each, there in self.parts
            if there.any()
        ]
        along = samples.distance_m[over] if isinstance(samples, Track) else None
        return PermissionNeed(
            subject=subject,
            airspace=name,
            airspace_class="",
            route=route,
            asked_agl_m=max(above_m),
            lead_time=LEAD_TIMES[route],
            record=records[0] if records else None,
            beside=records[1:],
            shortfall=fault.words,
            falls_short=fault.record,
            from_m=None if along is None else float(along.min()),
            to_m=None if along is None else float(along.max()),
            place=self.mapped.frame.xy_to_place(float(samples.x_m[first]), float(samples.y_m[first])),
        )

    def _shortfall(self, named: Records) -> Shortfall:
        holding = [record for record in named if in_time(record, self.plan.window)]
        grants = [grant for record in holding for grant in self._grants(record)]
        if not grants:
            return late_one(named, self.plan.window)
        failing = [(samples, over) for samples, over in self.parts if over.any()]
        return nearest(grants, failing, self._held())

    def _held(self) -> Held:
        launch_m = self.parts[0][0].launch_ground_amsl_m
        if self.plan.purpose is Purpose.PART_107:
            return Held(self.mapped, launch_m)
        return Held(
            self.mapped,
            launch_m,
            lambda samples: class_e_floor_amsl_m(samples, self.plan, self.mapped),
            "the floor of Class E",
        )

    def _grants(self, record: PermissionRecord) -> list[Grant]:
        return grants_of_height(record, self.plan, self.mapped)


def above_limit(samples: Track | AreaSamples, plan: Plan, mapped: Mapped) -> Mask:
    """Return which samples are flown above what the height rules and the plan's records allow."""
    limit = open_limit(samples, plan, mapped, launch_m=samples.launch_ground_amsl_m)
    with np.errstate(invalid="ignore"):
        return np.asarray(samples.planned_amsl_m - limit.amsl_m > TOLERANCE_M)


def grants_of_height(record: PermissionRecord, plan: Plan, mapped: Mapped) -> list[Grant]:
    """Return where a waiver of the height limit, or the authorization of a site, holds."""
    if plan.purpose is Purpose.PART_107:
        return [Grant(record, ring_column(record, mapped))]
    return site_grants(record, plan, mapped, {PermissionKind.AUTHORIZATION})
