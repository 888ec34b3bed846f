"""Airspace to ask for that the flight comes up into only where its way falls faster than it sinks."""

import attrs

from planner.permission.need import Rise
from planner.permission.needs import AirspaceUse, uses_besides
from planner.rules.case import Case
from planner.rules.flown_higher import samples_as_flown
from planner.rules.undrawn import launch_ground_m
from planner.rules.undrawn_samples import wants_authorization


def with_airspace_as_flown(case: Case, uses: tuple[AirspaceUse, ...]) -> tuple[AirspaceUse, ...]:
    """Return the uses with one for each airspace to ask for that nothing drawn, but what is flown, enters."""
    mapped, used = case.mapped, {column for use in uses for column in use.volumes}
    if mapped is None or not any(
        wants_authorization(volume) and column not in used for column, volume in mapped.airspace.items()
    ):
        return uses
    ways = tuple(samples_as_flown(case))
    found = uses_besides(case.plan, mapped, uses, ways, launch_ground_m(case)) if ways else ()
    return (*uses, *(attrs.evolve(use, need=attrs.evolve(use.need, rise=Rise.AS_FLOWN)) for use in found))
