"""The plan: everything the pilot intends, frozen."""

from collections.abc import Iterable
from enum import StrEnum

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.beneath import BeneathItem, FromVehicle, OtherPilot
from planner.plan.bounds import VISIBILITY
from planner.plan.checks import perhaps, positive
from planner.plan.crew import CrewMember, Role
from planner.plan.figures import FEWEST_POINTS, Figure, FigureSpan, kept_on, spans_of
from planner.plan.geometry import Area, PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.mast_wires import SHARES, MastWires
from planner.plan.papers import Papers
from planner.plan.records import NoticesChecked, PermissionRecord
from planner.plan.restrictions import TemporaryRestriction
from planner.plan.sheet import SheetNotes
from planner.plan.standing import StandArea
from planner.plan.weather import PlannedWeather


class Purpose(StrEnum):
    """Under which rules the flight takes place."""

    RECREATIONAL = "recreational"
    PART_107 = "part-107"


@attrs.frozen
class Plan:
    """One planned flight.

    A path of a single point is a plan in the making. `chart_sets` are ids, never paths.
    `structures_standing` are the words on structures of which the pilot says that they still stand
    (`Structure.standing_word`; an id alone is of whichever record). `guidelines` names the community
    guidelines of a recreational flight. `restrictions` are temporary ones that the pilot drew from
    notices. `visibility_m` is the ground visibility to be counted on [m]; `own_unseen_s` is the pilot's
    own limit for how long the aircraft may be behind a mast or tree [s], `own_tried_days` the one for how
    long ago a range may have been tried. `weather` is what the flight is reckoned with. `sheet` is what
    only the printed sheet needs. None is not said.
    `mast_wires` says of single masts how far their guy wires reach out; `guy_wire_share` is what older
    plans say of all masts at once, and counts only where it is more than the rule of thumb.
    `beneath` is who and what the pilot says is beneath, `other_pilots` who
    else flies there; `own_people_distance_m` is the pilot's own limit of
    distance from people [m]; `from_vehicle` says that it is flown from a
    moving vehicle. `stand_areas` are where the crew may stand; none: anywhere.
    `figures` are flown on the path: its points name them by their keys.
    `return_point` is where the aircraft returns to by itself; None: where it was armed.
    """

    name: str = ""
    purpose: Purpose | None = None
    guidelines: str = ""
    aircraft: Aircraft | None = None
    crew: tuple[CrewMember, ...] = ()
    window: TimeWindow | None = None
    launch: GroundSpot | None = None
    landing: GroundSpot | None = None
    area: Area | None = None
    path: tuple[PathPoint, ...] = ()
    notices: NoticesChecked | None = None
    permissions: tuple[PermissionRecord, ...] = ()
    structures_standing: frozenset[str] = frozenset()
    chart_sets: tuple[str, ...] = ()
    saved_as_draft: bool = True
    restrictions: tuple[TemporaryRestriction, ...] = ()
    papers: Papers | None = None
    guy_wire_share: float | None = attrs.field(default=None, validator=attrs.validators.optional(SHARES))
    visibility_m: float | None = attrs.field(
        default=None, validator=perhaps(VISIBILITY, "the ground visibility")
    )
    own_unseen_s: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the own limit of time unseen"))
    )
    own_tried_days: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the own limit of days since a trial"))
    )
    weather: PlannedWeather | None = None
    sheet: SheetNotes | None = None
    beneath: tuple[BeneathItem, ...] = ()
    other_pilots: tuple[OtherPilot, ...] = ()
    own_people_distance_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the own distance from people"))
    )
    from_vehicle: FromVehicle | None = None
    stand_areas: tuple[StandArea, ...] = ()
    figures: tuple[Figure, ...] = ()
    return_point: Place | None = None
    mast_wires: tuple[MastWires, ...] = ()

    def __attrs_post_init__(self) -> None:
        keys = [member.key for member in self.crew]
        if len(set(keys)) != len(keys):
            raise PlanError("two crew members have the same key", remedy="give each a key of its own")
        masts = [one.structure for one in self.mast_wires]
        if len(set(masts)) != len(masts):
            raise PlanError("the guy wires of one mast are told twice", remedy="keep one of the two")
        if self.figures or any(point.figure is not None for point in self.path):
            self._check_figures()

    def _check_figures(self) -> None:
        on_path = [point.figure for point in self.path if point.figure is not None]
        keys = [one.key for one in self.figures]
        if len(set(keys)) != len(keys):
            raise PlanError("two figures have the same key", remedy="give each a key of its own")
        for key in on_path:
            if key not in keys:
                raise PlanError(
                    f"a point of the path is of a figure {key[:40]!r} that there is not",
                    remedy="add the figure, or take its key from the point",
                )
        for one in self.figures:
            if on_path.count(one.key) < FEWEST_POINTS:
                raise PlanError(
                    f"the figure {one.key[:40]!r} has no entry and exit on the path",
                    remedy="give its key to two or more points",
                )

    def with_path(self, path: Iterable[PathPoint]) -> "Plan":
        """Return the plan with another path; figures that lost entry or exit with it are gone."""
        figures, points = kept_on(self.figures, path)
        return attrs.evolve(self, path=points, figures=figures)

    def figure_spans(self) -> tuple[FigureSpan, ...]:
        """Return where each figure lies on the path, in the order flown."""
        return spans_of(self.figures, self.path)

    def crew_in(self, role: Role) -> tuple[CrewMember, ...]:
        """Return the crew members with that role, in the plan's order."""
        return tuple(member for member in self.crew if member.role is role)

    @property
    def readout_error_m(self) -> float | None:
        """How far the height readout may be off [m], None if not given."""
        readout = self.aircraft.readout if self.aircraft else None
        return readout.error_m if readout else None

    def places(self) -> tuple[Place, ...]:
        """Return every place that must be judged or shown, in no promised order."""
        spots = [spot.place for spot in (self.launch, self.landing) if spot]
        people = [member.place for member in self.crew if member.place]
        corners = list(self.area.ring) if self.area else []
        ways_out = [one.bail_out for one in self.figures if one.bail_out]
        ways_out += [self.return_point] if self.return_point else []
        return (*spots, *corners, *(point.place for point in self.path), *people, *ways_out)

    def anchor(self) -> Place | None:
        """Return the place about which the plan is laid out: launch, path or area."""
        if self.launch:
            return self.launch.place
        if self.path:
            return self.path[0].place
        return self.area.ring[0] if self.area else None
