"""Airspace closed for a time, as the pilot draws it from a notice."""

from datetime import datetime, timedelta

import attrs

from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveLaunch, Height
from planner.geo.place import Place
from planner.geo.window import in_utc
from planner.plan.checks import not_empty, positive
from planner.plan.geometry import ring_fault
from planner.units import STADIUM_MARGIN_S, STADIUM_RADIUS_M, STADIUM_TOP_M, ft_from_m

LARGEST_RADIUS_M = 500_000.0


@attrs.frozen
class TemporaryRestriction:
    """A temporary restriction: bounded by a ring, or by a circle about `centre`.

    `floor` of None is the ground, `top` of None is without bound; both are
    above ground or above sea level, and the top is above the floor. A moment of None is not known: the
    restriction then counts as active at that end. `notice` says where it is
    written.
    """

    name: str = attrs.field(validator=not_empty("the name of a restriction"))
    ring: tuple[Place, ...] | None = None
    centre: Place | None = None
    radius_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the radius of a restriction"))
    )
    floor: Height | None = None
    top: Height | None = None
    from_utc: datetime | None = None
    to_utc: datetime | None = None
    notice: str = ""

    def __attrs_post_init__(self) -> None:
        self._check_outline()
        for name in ("from_utc", "to_utc"):
            moment = getattr(self, name)
            if moment is not None:
                object.__setattr__(self, name, in_utc(moment, "the time of a restriction"))
        if self.from_utc is not None and self.to_utc is not None and self.to_utc <= self.from_utc:
            raise PlanError(
                "a restriction ends before it begins, or the moment it begins",
                remedy="set its end after its beginning",
            )
        if isinstance(self.floor, AboveLaunch) or isinstance(self.top, AboveLaunch):
            raise PlanError(
                "a restriction's height is given above launch",
                remedy="give it above ground or above sea level",
            )
        self._check_heights()

    def _check_heights(self) -> None:
        if self.top is None:
            return
        lowest_m = 0.0 if self.floor is None else self.floor.m
        if lowest_m >= self.top.m:
            floor = "the ground" if self.floor is None else f"its floor ({_said(self.floor)})"
            raise PlanError(
                f"a restriction's top ({_said(self.top)}) is not above {floor}: it would close nothing",
                remedy="look both up in the notice; without a top it has no bound",
            )

    def _check_outline(self) -> None:
        round_one = self.centre is not None and self.radius_m is not None
        half_a_circle = (self.centre is None) != (self.radius_m is None)
        if half_a_circle or round_one == (self.ring is not None):
            raise PlanError(
                "a restriction is bounded by a ring, or by a centre and a radius",
                remedy="draw one of the two",
            )
        if self.radius_m is not None and self.radius_m > LARGEST_RADIUS_M:
            raise PlanError(
                f"a restriction's radius of {self.radius_m:.0f} m is none", remedy="give at most 500 km"
            )
        if self.ring is not None:
            if len(self.ring) < 3:
                raise PlanError("the outline of a restriction has fewer than three corners")
            if fault := ring_fault(self.ring, "the outline of a restriction"):
                raise PlanError(fault, remedy="move its corners apart so that its edges don't cross")


def _said(height: Height) -> str:
    return (
        f"{ft_from_m(height.m):,.0f} ft above {'ground' if isinstance(height, AboveGround) else 'sea level'}"
    )


def around_event(name: str, stadium: Place, start_utc: datetime, end_utc: datetime) -> TemporaryRestriction:
    """Return the restriction about a stadium, by the start and the end of the event in it.

    3 NM about it, up to 3,000 ft above ground, from an hour before to an hour
    after (the authority's standing notice; the current notice decides).

    Raises
    ------
    PlanError
        If it does not end after it begins.
    """
    begin, end = in_utc(start_utc, "the start of an event"), in_utc(end_utc, "the end of an event")
    if end <= begin:
        raise PlanError(
            "an event ends before it begins, or the moment it begins",
            remedy="set its end after its beginning",
        )
    margin = timedelta(seconds=STADIUM_MARGIN_S)
    return TemporaryRestriction(
        name=name,
        centre=stadium,
        radius_m=STADIUM_RADIUS_M,
        top=AboveGround(STADIUM_TOP_M),
        from_utc=begin - margin,
        to_utc=end + margin,
    )
