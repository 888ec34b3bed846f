"""What is beneath, as the pilot draws or says it, and who else flies at the place."""

from enum import StrEnum

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.bounds import CHANNEL_WIDTH, FREQUENCY
from planner.plan.checks import bounded, not_empty, not_negative, perhaps, positive
from planner.plan.geometry import ring_fault


class BeneathKind(StrEnum):
    """Who or what is beneath.

    `CREW` are direct participants (14 CFR 107.39(a)); a `SUBJECT` (an actor, a
    driver) who agrees to be filmed is none. A `GATHERING` stands so close that
    nobody in it can freely move away. Behind a `SPECTATOR_LINE` people watch,
    on its side away from the launch point.
    """

    ROAD = "road"
    TRAIL = "trail"
    CREW = "crew"
    SUBJECT = "subject"
    PEOPLE = "people"
    GATHERING = "gathering"
    SPECTATOR_LINE = "spectator-line"
    BUILDING = "building"
    TREES = "trees"
    WATER = "water"


class DrawnAs(StrEnum):
    """How it is drawn; also its GeoJSON geometry: Point, LineString, Polygon."""

    SPOT = "spot"
    LINE = "line"
    AREA = "area"


_FEWEST = {DrawnAs.SPOT: 1, DrawnAs.LINE: 2, DrawnAs.AREA: 3}


@attrs.frozen
class BeneathItem:
    """Someone or something beneath: a spot, a line, or the ring of an area (open).

    Parameters
    ----------
    half_width_m : radius of a spot, half the width of a line [m]; None: as is
        usual for its kind.
    height_m : of trees or a building above the ground [m].
    moving_vehicles : whether vehicles with people in them move on a road
        meanwhile; None: not said, so they may.
    closed_site : whether the place is closed or of restricted access and
        everybody in it has been told that an aircraft may fly over them.
    under_cover : whether people are under a covered structure or in a
        stationary vehicle that protects them.
    """

    kind: BeneathKind
    drawn_as: DrawnAs
    places: tuple[Place, ...]
    name: str = ""
    half_width_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the half width of what is beneath"))
    )
    height_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(not_negative("the height of what is beneath"))
    )
    moving_vehicles: bool | None = None
    closed_site: bool | None = None
    under_cover: bool | None = None

    def __attrs_post_init__(self) -> None:
        if self.drawn_as is DrawnAs.SPOT and len(self.places) != 1:
            raise PlanError("a spot beneath has one place", remedy="draw it as a line or an area")
        if len(self.places) < _FEWEST[self.drawn_as]:
            raise PlanError(
                f"a {self.drawn_as.value} beneath has fewer than {_FEWEST[self.drawn_as]} places",
                remedy="draw more of them",
            )
        if self.drawn_as is DrawnAs.AREA and (fault := ring_fault(self.places, "an area beneath")):
            raise PlanError(fault, remedy="move its corners apart so that its edges don't cross")

    @property
    def called(self) -> str:
        """Its name, else what it is."""
        return self.name or self.kind.value.replace("-", " ")


@attrs.frozen
class OtherPilot:
    """Another pilot at the place and the frequency of their video [MHz].

    `width_mhz` is what their signal takes, None: as is usual for an analog
    picture.
    """

    name: str = attrs.field(validator=not_empty("the other pilot's name"))
    frequency_mhz: float = attrs.field(validator=bounded(FREQUENCY, "the other pilot's frequency"))
    width_mhz: float | None = attrs.field(
        default=None, validator=perhaps(CHANNEL_WIDTH, "the width of a channel")
    )
    channel: str = ""


@attrs.frozen
class FromVehicle:
    """Flown from a moving land or water vehicle; None: not said."""

    sparsely_populated: bool | None = None
    carries_for_hire: bool | None = None
