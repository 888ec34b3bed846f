"""How far what is flown in airspace to ask for comes above the limit on height, which no answer lifts."""

from collections.abc import Iterable, Mapping

import numpy as np

from planner.ceiling.open_limit import open_limit
from planner.permission.routes import TOLERANCE_M
from planner.plan.model import Plan
from planner.rules.transit_airspace import at_its_height
from planner.track.build import launch_ground_m
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples


def over_height_limit(
    plan: Plan, mapped: Mapped, flown: Iterable[WaySamples], columns: Iterable[int]
) -> Mapping[int, float]:
    """Return, by column of the airspace, the most by which samples in it come above that limit [m]."""
    found: dict[int, float] = {}
    entered, launch_m = tuple(columns), launch_ground_m(plan, mapped.frame, mapped.ground)
    for samples in flown if entered else ():
        if not len(samples.x_m):
            continue
        limit = open_limit(samples, plan, mapped, launch_m=launch_m)
        with np.errstate(invalid="ignore"):
            over_m = samples.planned_amsl_m - limit.amsl_m
        for column in entered:
            inside = samples.inside_outline(column) & at_its_height(mapped.airspace[column], samples)
            most_m = float(np.fmax.reduce(over_m[inside], initial=-np.inf))
            if most_m > max(found.get(column, 0.0), TOLERANCE_M):
                found[column] = most_m
    return found
