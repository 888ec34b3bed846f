"""The limit from ground, structures and fixed sites, airspace left aside."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.permission.records import site_grants
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind
from planner.track.mapped import Mapped
from planner.track.samples import Samples
from planner.units import GROUND_LIMIT_M, STRUCTURE_ALLOWANCE_M

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class OpenLimit:
    """The limit from ground, structures and fixed sites, airspace left aside.

    `column` is the structure's or site's column that raises the limit, -1
    where the ground alone sets it.
    """

    amsl_m: Floats
    column: Ints


def open_limit(samples: Samples, plan: Plan, mapped: Mapped, *, launch_m: float) -> OpenLimit:
    """Return the limit that ground, structures and fixed sites set.

    400 ft above the ground for everybody; for Part 107 within 400 ft of a
    structure of which the pilot says that it stands, 400 ft above its top
    less the record's vertical error (14 CFR 107.51(b)); for recreational
    flights in a fixed site what an authorization of that site allows
    (49 USC 44809(c)(2)(C)).
    """
    limit = samples.lowest_ground_amsl_m + GROUND_LIMIT_M
    setter = np.full(len(limit), -1, dtype=np.int64)
    if plan.purpose is Purpose.PART_107:
        for column, structure in mapped.structures.items():
            if structure.key not in plan.structures_standing or structure.top_amsl_m is None:
                continue
            top_m = structure.top_amsl_m - (structure.vertical_error_m or 0.0) + STRUCTURE_ALLOWANCE_M
            _raise(limit, setter, samples.inside_outline(column), np.full(len(limit), top_m), column)
    for record in plan.permissions:
        if plan.window is None or not plan.window.within(record.valid_from_utc, record.valid_to_utc):
            continue
        for grant in site_grants(record, plan, mapped, {PermissionKind.AUTHORIZATION}):
            _raise(
                limit, setter, grant.covers(samples), grant.height_amsl_m(samples, launch_m), grant.columns[0]
            )
    return OpenLimit(limit, setter)


def _raise(limit: Floats, setter: Ints, where: Mask, height_m: Floats, column: int) -> None:
    with np.errstate(invalid="ignore"):
        higher = where & (height_m > limit)
    limit[higher] = height_m[higher]
    setter[higher] = column
