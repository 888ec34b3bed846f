"""Where the crew may stand, as the pilot allows it."""

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.geometry import ring_fault

_FEWEST = 3


@attrs.frozen
class StandArea:
    """An area in which the crew may stand: an open ring of corners, and what it is called."""

    ring: tuple[Place, ...]
    name: str = ""

    def __attrs_post_init__(self) -> None:
        if len(self.ring) < _FEWEST:
            raise PlanError("an area to stand in has fewer than three corners", remedy="draw more of them")
        if fault := ring_fault(self.ring, "an area to stand in"):
            raise PlanError(fault, remedy="move its corners apart so that its edges don't cross")
