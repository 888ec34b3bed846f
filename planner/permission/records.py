"""Which records in hand speak of an airspace, and up to what height, where."""

from collections.abc import Iterable

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.window import TimeWindow
from planner.permission.namesakes import called, opens_others, spoken
from planner.permission.waivers import waives
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.track.mapped import Mapped
from planner.track.samples import Samples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume
from planner.world.sites import FixedSite

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Grant:
    """A record that holds for one airspace in the plan's window.

    It reaches as far as `columns` do together: the ring of the record, the
    outline of a site. Without columns it holds in all of the airspace. `at_any_height` is
    whether it holds at any where the record names none: so does a waiver of what is no height.
    """

    record: PermissionRecord
    columns: tuple[int, ...]
    site: FixedSite | None = None
    at_any_height: bool = False

    def covers(self, samples: Samples) -> Mask:
        """Return, per sample, whether it lies where the record holds."""
        covered = np.ones(len(samples.ground_amsl_m), dtype=bool)
        for column in self.columns:
            covered &= samples.inside_outline(column)
        return covered

    def height_amsl_m(self, samples: Samples, launch_m: float) -> Floats:
        """Return up to what height the record allows [m AMSL], NaN if unknown, -inf where it names none."""
        if self.at_any_height and self.record.ceiling is None:
            return np.full(len(samples.ground_amsl_m), np.inf)
        allowed = _height(self.record, samples, launch_m)
        if self.site and self.site.ceiling_agl_m is not None:
            allowed = np.minimum(allowed, samples.lowest_ground_amsl_m + self.site.ceiling_agl_m)
        return allowed


def _height(record: PermissionRecord, samples: Samples, launch_m: float) -> Floats:
    lowest_m = samples.lowest_ground_amsl_m
    match record.ceiling:
        case AboveGround(m=height_m):
            return np.asarray(lowest_m + height_m)
        case AboveSeaLevel(m=height_m):
            return np.full(len(lowest_m), height_m)
        case AboveLaunch(m=height_m):
            return np.full(len(lowest_m), launch_m + height_m)
        case _:
            return np.full(len(lowest_m), -np.inf)


def same_name(one: str, other: str) -> bool:
    """Whether two names of airspace are the same but for case and spaces."""
    return spoken(one) == spoken(other)


def speaks_of(record: PermissionRecord, name: str, ident: str = "") -> bool:
    """Whether a record names this airspace, by its name or identifier."""
    return same_name(record.airspace, name) or bool(ident and same_name(record.airspace, ident))


def speaks_of_volume(record: PermissionRecord, volume: AirspaceVolume) -> bool:
    """Whether a record names this airspace, by its name, its identifier or notice, or both."""
    return speaks_of(record, volume.name, volume.ident) or same_name(record.airspace, called(volume))


def names_others(record: PermissionRecord, volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> bool:
    """Whether a record names it by what other closed airspace near is called, too."""
    by_ident = bool(volume.ident.strip()) and same_name(record.airspace, volume.ident)
    return not by_ident and opens_others(record.airspace, volume, plan, mapped)


def in_order(records: Iterable[PermissionRecord]) -> list[PermissionRecord]:
    """Return records in an order that depends on their contents only."""
    return sorted(records, key=lambda record: (record.reference, repr(record)))


def in_time(record: PermissionRecord, window: TimeWindow | None) -> bool:
    """Whether a record holds for the whole window; never without a window."""
    return window is not None and window.within(record.valid_from_utc, record.valid_to_utc)


def grants_for(volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> tuple[Grant, ...]:
    """Return the grants that hold in a volume of airspace during the plan's window."""
    found = []
    for record in in_order(plan.permissions):
        if not in_time(record, plan.window):
            continue
        if volume.kind in FORBIDDEN_WHILE_ACTIVE:
            if record.kind is PermissionKind.AGENCY and _opens(record, volume, plan, mapped):
                found.append(Grant(record, ring_column(record, mapped)))
        elif record.kind is PermissionKind.AUTHORIZATION and speaks_of(record, volume.name, volume.ident):
            found.append(Grant(record, ring_column(record, mapped)))
        else:
            found += site_grants(record, plan, mapped, {PermissionKind.FIXED_SITE_AGREEMENT})
    return tuple(found)


def _opens(record: PermissionRecord, volume: AirspaceVolume, plan: Plan, mapped: Mapped) -> bool:
    if not speaks_of_volume(record, volume):
        return False
    return not names_others(record, volume, plan, mapped)


def site_grants(
    record: PermissionRecord, plan: Plan, mapped: Mapped, kinds: set[PermissionKind]
) -> list[Grant]:
    """Return what a record of those kinds grants at the fixed site it names.

    Only recreational flights have fixed sites (49 USC 44809(c)).
    """
    if plan.purpose is not Purpose.RECREATIONAL or record.kind not in kinds:
        return []
    return [
        Grant(record, (column, *ring_column(record, mapped)), site)
        for column, site in mapped.sites.items()
        if speaks_of(record, site.name, site.key)
    ]


def waives_height(record: PermissionRecord) -> bool:
    """Whether a record is a waiver of the height limit: 14 CFR 107.51, all of it or its paragraph (b)."""
    return waives(record, "107.51", "(b)")


def ring_column(record: PermissionRecord, mapped: Mapped) -> tuple[int, ...]:
    """Return the column of a record's ring; none if it is not bounded by one."""
    column = mapped.record_columns.get(record)
    return () if column is None else (column,)
