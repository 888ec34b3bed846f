"""The ceiling over places that are flown through off the planned path, such as a way home."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.blocks import blocks_of
from planner.ceiling.evaluate import Scene
from planner.ceiling.known import where_known
from planner.ceiling.limits import ceiling_of
from planner.ceiling.open_limit import open_limit
from planner.ceiling.places import Places, places_at

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class _FlownPlaces(Places):
    """Places that are flown through at given heights (n,) [m AMSL]."""

    flown_amsl_m: Floats

    @property
    def planned_amsl_m(self) -> Floats:
        """Height at which each place is flown through [m AMSL]."""
        return self.flown_amsl_m

    @property
    def flown_from_amsl_m(self) -> Floats:
        """The same: nothing below is flown through."""
        return self.flown_amsl_m


def ceiling_over_ways(scene: Scene, x_m: Floats, y_m: Floats, amsl_m: Floats) -> Floats:
    """Return the ceiling [m AMSL] over places (n,) flown through at heights; NaN where not known.

    With the permissions on record, each for the airspace that the plan uses.
    """
    if not len(x_m):
        return np.empty(0)
    there = places_at(scene, x_m, y_m)
    places = _FlownPlaces(
        there.ground_amsl_m, there.lowest_ground_amsl_m, there.launch_ground_amsl_m, there.columns, amsl_m
    )
    launch_m = there.launch_ground_amsl_m
    limit = open_limit(places, scene.plan, scene.mapped, launch_m=launch_m)
    blocks = blocks_of(scene.uses, places, scene.plan, scene.mapped, launch_m=launch_m, asking=False)
    return where_known(ceiling_of(places, limit, blocks), places, scene.mapped).amsl_m
