"""Who and what is beneath, from charts and as drawn, laid into the plane."""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.spectators import behind_line
from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathItem, BeneathKind
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan
from planner.track.drawn import USUAL_HALF_WIDTH_M, drawn_shape
from planner.world.buildings import charted_height_m
from planner.world.drawn_over import NAMED_WITHIN_M
from planner.world.outlines import earth_box, shapes_in_plane
from planner.world.sites import GroundFeature, GroundKind


class Below(StrEnum):
    """What somebody beneath is to the flight, gravest first.

    `ROAD`, `GATHERING_PLACE` and `TRAIL` are where vehicles, a crowd and
    people may be, and nobody has said whether they are.
    """

    ASSEMBLY = "assembly"
    VEHICLES = "moving-vehicles"
    SPECTATORS = "spectators"
    PEOPLE = "people"
    SUBJECT = "subject"
    ROAD = "road"
    GATHERING_PLACE = "gathering-place"
    TRAIL = "trail"
    WIRE = "wire"
    UNDER_COVER = "people-under-cover"
    CREW = "crew"
    BUILDING = "building"
    QUIET_ROAD = "road-without-vehicles"
    RUNWAY = "runway"
    TREES = "trees"
    WATER = "water"


GRAVEST_FIRST: Final = tuple(Below)
OF_PEOPLE: Final = frozenset({Below.ASSEMBLY, Below.VEHICLES, Below.SPECTATORS, Below.PEOPLE, Below.SUBJECT})
"""People who are there, as the pilot says, and are neither crew nor under cover."""

_DRAWN: Final = {
    BeneathKind.TRAIL: Below.TRAIL,
    BeneathKind.CREW: Below.CREW,
    BeneathKind.SUBJECT: Below.SUBJECT,
    BeneathKind.PEOPLE: Below.PEOPLE,
    BeneathKind.GATHERING: Below.ASSEMBLY,
    BeneathKind.SPECTATOR_LINE: Below.SPECTATORS,
    BeneathKind.BUILDING: Below.BUILDING,
    BeneathKind.TREES: Below.TREES,
    BeneathKind.WATER: Below.WATER,
}
_VEHICLES: Final = {True: Below.VEHICLES, False: Below.QUIET_ROAD, None: Below.ROAD}
_CHARTED: Final = {
    GroundKind.ROAD: Below.ROAD,
    GroundKind.TRAIL: Below.TRAIL,
    GroundKind.BUILDING: Below.BUILDING,
    GroundKind.GATHERING: Below.GATHERING_PLACE,
    GroundKind.RUNWAY: Below.RUNWAY,
    GroundKind.WIRE: Below.WIRE,
    GroundKind.WATER: Below.WATER,
}
# Half the width of what is drawn or charted as a line, the radius of a spot [m]: own choice, as is usual.
_HALF_WIDTH_M: Final = {
    Below.ROAD: 5.0,
    Below.VEHICLES: 5.0,
    Below.QUIET_ROAD: 5.0,
    Below.ASSEMBLY: 10.0,
    Below.GATHERING_PLACE: 10.0,
    Below.RUNWAY: 15.0,
}


# What is drawn stands for what a chart shows under its name if it says what that is, or who is there.
_ANSWERS: Final = {
    Below.ROAD: OF_PEOPLE | {Below.ROAD, Below.QUIET_ROAD},
    Below.TRAIL: OF_PEOPLE | {Below.TRAIL},
    Below.GATHERING_PLACE: OF_PEOPLE | {Below.UNDER_COVER},
    Below.BUILDING: frozenset({Below.BUILDING}),
    Below.WATER: frozenset({Below.WATER}),
}


@attrs.frozen(eq=False)
class Thing:
    """Something beneath in the plane [m]: its outline, and the middle of what is a line.

    `item` is how the pilot drew it, None where a chart shows it. `charted_m` is how high that says that it
    stands above the ground [m].
    """

    below: Below
    name: str
    shape: BaseGeometry
    middle: BaseGeometry | None = None
    item: BeneathItem | None = None
    charted_m: float | None = None

    @property
    def height_m(self) -> float | None:
        """How high it stands above the ground [m], None where nobody says."""
        return self.item.height_m if self.item is not None else self.charted_m

    @property
    def called(self) -> str:
        """Its name, else what it is; of a line of spectators also those behind it."""
        named = self.name or self.below.value.replace("-", " ")
        behind = self.below is Below.SPECTATORS and self.middle is not None
        return f"{named} and those behind it" if behind else named


def below_of(item: BeneathItem) -> Below:
    """Return what a drawn item is to the flight."""
    if item.kind is BeneathKind.ROAD:
        return _VEHICLES[item.moving_vehicles]
    found = _DRAWN[item.kind]
    return Below.UNDER_COVER if item.under_cover and found in OF_PEOPLE else found


def things_beneath(
    plan: Plan, charted: Sequence[GroundFeature], frame: LocalFrame, within: tuple[float, float, float, float]
) -> tuple[Thing, ...]:
    """Return what is drawn, who of the plan stands somewhere, and what charts show.

    `within` bounds charts in the plane: west, south, east, north [m]. What is
    drawn under the name that a chart gives it, and of an answering kind, stands
    for it as far as it is drawn.
    """
    drawn = [_with_watchers(drawn_in_plane(item, frame), plan, frame) for item in plan.beneath]
    standing = [_standing(member, frame) for member in plan.crew if member.place is not None]
    shown = _charted([one for one in charted if one.kind in _CHARTED], frame, within)
    if drawn:
        shown = [left for one in shown if (left := _unanswered(one, drawn)) is not None]
    return (*drawn, *standing, *shown)


def _unanswered(charted: Thing, drawn: Sequence[Thing]) -> Thing | None:
    """Return what is left of something charted where nothing is drawn under its name; None if nothing is."""
    answering = [one for one in drawn if one.below in _ANSWERS.get(charted.below, ())]
    named = [one.shape for one in answering if one.name and one.name.casefold() == charted.name.casefold()]
    if not named:
        return charted
    there = shapely.buffer(shapely.union_all(named), NAMED_WITHIN_M)
    shape = shapely.difference(charted.shape, there)
    if shape.is_empty:
        return None
    middle = None if charted.middle is None else shapely.difference(charted.middle, there)
    return attrs.evolve(charted, shape=shape, middle=None if middle is None or middle.is_empty else middle)


def _with_watchers(thing: Thing, plan: Plan, frame: LocalFrame) -> Thing:
    """Add to a line of spectators those who stand behind it."""
    if thing.item is None or thing.middle is None:
        return thing
    behind = behind_line(thing.item, thing.middle, plan, frame)
    return thing if behind.is_empty else attrs.evolve(thing, shape=shapely.union(thing.shape, behind))


def drawn_in_plane(item: BeneathItem, frame: LocalFrame) -> Thing:
    """Lay a drawn item into the plane, as wide as it is."""
    thing = Thing(below_of(item), item.name, drawn_shape(item, frame), item=item)
    return _widened(thing, item.half_width_m)


def _standing(member: CrewMember, frame: LocalFrame) -> Thing:
    assert member.place is not None
    below = Below.PEOPLE if member.role is Role.SPECTATOR else Below.CREW
    spot = shapely.Point(frame.place_to_xy(member.place))
    return _widened(Thing(below, member.called, spot), None)


def _charted(
    features: Sequence[GroundFeature], frame: LocalFrame, within: tuple[float, float, float, float]
) -> Iterable[Thing]:
    if not features:
        return []
    shapes = np.array([one.shape for one in features], dtype=object)
    near = np.flatnonzero(shapely.intersects(shapes, earth_box(within, frame)))
    below = [_CHARTED[features[k].kind] for k in near.tolist()]
    plane = np.atleast_1d(shapes_in_plane(shapes[near], frame))
    dimensions = shapely.get_dimensions(plane)
    half_m = np.array([_HALF_WIDTH_M.get(one, USUAL_HALF_WIDTH_M) for one in below])
    wide = np.where(dimensions == 2, plane, shapely.buffer(plane, half_m, quad_segs=4))
    return [
        Thing(
            one,
            features[k].name,
            shape,
            middle if dimension == 1 else None,
            charted_m=charted_height_m(features[k]),
        )
        for one, k, shape, middle, dimension in zip(
            below, near.tolist(), wide, plane, dimensions, strict=True
        )
    ]


def _widened(thing: Thing, half_width_m: float | None) -> Thing:
    dimensions = int(shapely.get_dimensions(thing.shape))
    if dimensions == 2:
        return thing
    half_m = half_width_m or _HALF_WIDTH_M.get(thing.below, USUAL_HALF_WIDTH_M)
    wide = shapely.buffer(thing.shape, half_m)
    return attrs.evolve(thing, shape=wide, middle=thing.shape if dimensions == 1 else None)
