"""The flying area and the path, as drawn."""

from collections.abc import Sequence
from enum import StrEnum

import attrs
import shapely

from planner.errors import PlanError
from planner.geo.heights import Height
from planner.geo.place import Place
from planner.plan.bounds import SPEED
from planner.plan.checks import perhaps


class LegShape(StrEnum):
    """How the aircraft gets from a point to the next one."""

    STRAIGHT = "straight"
    FOLLOW_GROUND = "follow-ground"


@attrs.frozen
class Leg:
    """The leg that leaves a point; `speed_mps` is the intended ground speed."""

    shape: LegShape = LegShape.STRAIGHT
    speed_mps: float | None = attrs.field(default=None, validator=perhaps(SPEED, "a leg's speed"))


@attrs.frozen
class PathPoint:
    """A point of the path with its height and the leg that leaves it.

    `figure` is the key of the figure that it is flown in, None outside of any.
    """

    place: Place
    height: Height
    leg: Leg = Leg()
    name: str = ""
    figure: str | None = None

    def put(self, place: Place, height: Height) -> "PathPoint":
        """Return the point somewhere else: of thousands in a third of the time that `attrs.evolve` takes."""
        return PathPoint(place, height, self.leg, self.name, self.figure)


@attrs.frozen
class Area:
    """The flying area: a simple ring, not closed, at least three places.

    A top above ground follows the ground; above launch or AMSL it is level.
    A top of None means the area only bounds the path on the map.
    """

    ring: tuple[Place, ...]
    top: Height | None = None

    def __attrs_post_init__(self) -> None:
        if len(self.ring) < 3:
            raise PlanError("the flying area has fewer than three corners", remedy="draw at least three")
        fault = ring_fault(self.ring)
        if fault:
            raise PlanError(fault, remedy="move its corners apart so that its edges don't cross")


def ring_fault(ring: Sequence[Place], of: str = "the flying area") -> str:
    """Return why a ring of three or more places can't bound an area, else ''."""
    outline = shapely.LinearRing([(place.lon_deg, place.lat_deg) for place in ring])
    if shapely.Polygon(outline).convex_hull.area == 0.0:
        return f"{of} has no extent"
    if not outline.is_simple:
        return f"the edges of {of} cross each other"
    return ""
