"""The part of the world that may be relied on: stale granting data grants nothing."""

from collections.abc import Sequence

import attrs

from planner.rules.data_status import DataStatus
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from planner.world.world import World

_CELL_STATES = frozenset({LayerState.OK, LayerState.UNDATED, LayerState.NOT_COVERING})
"""A facility map without dates or coverage still shows the values it contains;
what follows from its doubtful standing is a finding of its own."""


def usable_world(world: World, data: Sequence[DataStatus]) -> World:
    """Return the world without granting data that is missing, stale or damaged.

    Restricting data stays in whatever state it is: a known restriction counts
    until it is known to be gone.
    """
    state = {status.layer: status.state for status in data}

    def current(layer: LayerName) -> bool:
        return state.get(layer) is LayerState.OK

    return attrs.evolve(
        world,
        structures=world.structures if current(LayerName.OBSTACLES) else (),
        fixed_sites=world.fixed_sites if current(LayerName.FIXED_SITES) else (),
        exempt_areas=world.exempt_areas if current(LayerName.EXEMPT_AREAS) else (),
        cells=world.cells if state.get(LayerName.FACILITY_MAP) in _CELL_STATES else (),
    )
