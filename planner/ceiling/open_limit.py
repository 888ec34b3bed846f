"""The limit that the rules on height set, before any airspace closes part of it."""

from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.records import Grant, in_order, in_time, ring_column, site_grants, waives_height
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind
from planner.track.mapped import Mapped, structure_limit_amsl_m
from planner.track.samples import Samples
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import NEEDS_AUTHORIZATION, AirspaceKind
from planner.world.structures import Structure

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class OpenLimit:
    """The limit on height [m AMSL], whatever airspace there is left aside.

    `column` is the structure, site or airspace that raises the limit, -1
    where none does; `permitted` says where only a permission reaches it.
    """

    amsl_m: Floats
    column: Ints
    permitted: Mask

    def raise_to(self, where: Mask, height_m: Floats, column: int, *, permitted: bool = False) -> None:
        """Raise the limit to a height where it is lower."""
        with np.errstate(invalid="ignore"):
            higher = where & (height_m > self.amsl_m)
        np.copyto(self.amsl_m, height_m, where=higher)
        np.copyto(self.column, column, where=higher)
        np.copyto(self.permitted, permitted, where=higher)


def open_limit(samples: Samples, plan: Plan, mapped: Mapped, *, launch_m: float) -> OpenLimit:
    """Return the limit that the rules on height set.

    400 ft above the ground for everybody; what raises it depends on the purpose.
    """
    limit = samples.lowest_ground_amsl_m + GROUND_LIMIT_M
    found = OpenLimit(limit, np.full(len(limit), -1, dtype=np.int64), np.zeros(len(limit), dtype=bool))
    if plan.purpose is Purpose.PART_107:
        _part_107(found, samples, plan, mapped, launch_m)
    elif plan.purpose is Purpose.RECREATIONAL:
        _recreational(found, samples, plan, mapped, launch_m)
    return found


def raising_structures(plan: Plan, mapped: Mapped) -> Iterator[tuple[int, Structure]]:
    """Yield the column and record of each structure within whose radius the limit of a plan is raised.

    Under Part 107 alone, and of which the pilot says that it stands.
    """
    if plan.purpose is Purpose.PART_107:
        for column, structure in mapped.structures.items():
            if structure.stands_by(plan.structures_standing):
                yield column, structure


def _part_107(found: OpenLimit, samples: Samples, plan: Plan, mapped: Mapped, launch_m: float) -> None:
    """Raise it by structures (14 CFR 107.51(b)) and by a waiver of that paragraph on record.

    Within 400 ft of a structure of which the pilot says that it stands, the
    limit is 400 ft above its top, less the record's vertical error.
    """
    for column, structure in raising_structures(plan, mapped):
        # Most structures of a busy chart are not near.
        if (inside := samples.inside_outline(column)).any():
            limit_m = np.full(len(found.amsl_m), structure_limit_amsl_m(structure))
            found.raise_to(inside, limit_m, column)
    for record in in_order(plan.permissions):
        if waives_height(record) and in_time(record, plan.window):
            grant = Grant(record, ring_column(record, mapped))
            found.raise_to(grant.covers(samples), grant.height_amsl_m(samples, launch_m), -1, permitted=True)


def _recreational(found: OpenLimit, samples: Samples, plan: Plan, mapped: Mapped, launch_m: float) -> None:
    """Raise it by an authorized fixed site in Class G, and lift it inside controlled airspace.

    49 USC 44809(a)(6) limits flights in Class G airspace only. Inside
    controlled airspace the statute gives no number: what is authorized is
    the limit ((a)(5)), and the airspace's own block sees to that. A volume
    that lies above the limit lifts it only where all that is flown lies in it,
    and one that is not surely active all the time lifts it nowhere: while it
    is not, the place is Class G.
    """
    for record in in_order(plan.permissions):
        if in_time(record, plan.window):
            for grant in site_grants(record, plan, mapped, {PermissionKind.AUTHORIZATION}):
                height_m = np.minimum(
                    grant.height_amsl_m(samples, launch_m), class_e_floor_amsl_m(samples, plan, mapped)
                )
                found.raise_to(grant.covers(samples), height_m, grant.columns[0])
    controlled = {
        column: volume
        for column, volume in mapped.airspace.items()
        if volume.kind in NEEDS_AUTHORIZATION
        and volume.active_throughout(plan.window)
        and samples.inside_outline(column).any()
    }
    # One volume may lift the limit to the floor of another.
    for _ in controlled:
        before = found.amsl_m.copy()
        for column, volume in controlled.items():
            floor_m, top_m = floor_amsl_m(volume, samples), top_amsl_m(volume, samples)
            with np.errstate(invalid="ignore"):
                within = (samples.flown_from_amsl_m >= floor_m) & (samples.planned_amsl_m <= top_m)
                reached = samples.inside_outline(column) & (within | (floor_m <= found.amsl_m))
            found.raise_to(reached, top_m, column, permitted=True)
        if np.array_equal(before, found.amsl_m, equal_nan=True):
            break


def class_e_floor_amsl_m(samples: Samples, plan: Plan, mapped: Mapped) -> Floats:
    """Return the lowest floor of Class E that is no surface area [m AMSL], infinite where there is none.

    The authority has read the statute so that a fixed site's authorization in
    Class G ends there (summary of H.R. 6460, standing B).
    """
    lowest_m = np.full(len(samples.ground_amsl_m), np.inf)
    for column, volume in mapped.airspace.items():
        if volume.kind is AirspaceKind.CLASS_E_OTHER and is_active(volume, plan.window):
            inside = samples.inside_outline(column)
            lowest_m[inside] = np.fmin(lowest_m, floor_amsl_m(volume, samples))[inside]
    return lowest_m
