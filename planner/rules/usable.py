"""The part of the world that may be relied on: stale granting data grants nothing."""

from collections.abc import Sequence
from typing import Any

import attrs

from planner.plan.model import Plan
from planner.rules.data_status import UNITED_STATES, DataStatus, extent_of
from planner.world.currency import LayerState, holds_there
from planner.world.layers import LayerName, LayerRecord
from planner.world.merge import GRANTING
from planner.world.world import World

_CELL_STATES = frozenset({LayerState.OK, LayerState.UNDATED, LayerState.NOT_COVERING})
"""A facility map without an end or coverage still shows the values it contains;
what follows from its doubtful standing is a finding of its own."""


def reliable_records(plan: Plan, world: World) -> frozenset[LayerRecord]:
    """Return the records of granting layers each of which is good by itself for this plan.

    A layer can be good because one record of it is; what another, expired or torn, holds grants
    nothing all the same.
    """
    needed = extent_of(plan)
    granting = set(GRANTING.values())
    return frozenset(
        record
        for record in world.layers
        if record.name in granting
        and holds_there(
            record,
            needed,
            plan.window,
            codes=UNITED_STATES,
            needs_dates=record.name is not LayerName.FACILITY_MAP,
            needs_coverage=record.name is not LayerName.FACILITY_MAP,
        )
    )


def usable_world(world: World, data: Sequence[DataStatus], reliable: frozenset[LayerRecord]) -> World:
    """Return the world without granting data that is missing, stale or damaged.

    Parameters
    ----------
    world : World
        All that is known.
    data : sequence of DataStatus
        How each layer as a whole stands.
    reliable : frozenset of LayerRecord
        What `reliable_records` says of the same plan.

    Notes
    -----
    Restricting data stays in whatever state it is: a known restriction counts
    until it is known to be gone.
    """
    state = {status.layer: status.state for status in data}
    kept: dict[str, Any] = {}
    for field, layer in GRANTING.items():
        good = _CELL_STATES if layer is LayerName.FACILITY_MAP else {LayerState.OK}
        features = getattr(world, field) if state.get(layer) in good else ()
        records = [record for record in world.layers if record.name is layer]
        if features and not reliable.issuperset(records):
            features = tuple(feature for feature in features if not reliable.isdisjoint(feature.told_by))
        kept[field] = features
    return attrs.evolve(world, **kept)
