"""A permission the flight needs, and how to come by it."""

from enum import StrEnum

import attrs

from planner.geo.place import Place
from planner.plan.records import PermissionKind, PermissionRecord
from planner.saying import told


class Route(StrEnum):
    """The closed list of ways to a permission."""

    AUTOMATED = "automated-request"
    FURTHER_COORDINATION = "further-coordination"
    ASK_AUTHORITY = "ask-authority"
    FIXED_SITE = "fixed-site-agreement"
    AGENCY = "agency-permission"
    HEADQUARTERS = "headquarters-coordination"
    WAIVER = "waiver"
    SITE_AUTHORIZATION = "site-authorization"
    LANDOWNER = "landowner"
    NONE = "none"


class Subject(StrEnum):
    """What the permission is asked for."""

    AIRSPACE = "airspace"
    AREA_CLOSED_BY_AGENCY = "closed-airspace"
    LAND = "land"
    HEIGHT_LIMIT = "height-limit"
    SITE_HEIGHT = "site-height"
    INQUIRY = "inquiry"


class Rise(StrEnum):
    """Why more height is asked for than is drawn, in words that stand before how high that is."""

    ON_LOST_LINK = "on lost link"
    AS_FLOWN = "where the path falls faster than the aircraft sinks"


@attrs.frozen
class PermissionNeed:
    """One permission that the plan needs.

    Parameters
    ----------
    airspace, airspace_class : name and class letter ('B'..'E'), '' if none.
    route, alternatives : the nearest way, and the others open to the purpose.
    cell_ceiling_agl_m : lowest facility map value touched [m AGL], None if no
        cell is known there.
    asked_agl_m : greatest height above ground flown inside [m], higher than drawn, too, None if unknown.
    way_rise_m : how much of it is flown on ways alone that are not drawn, to and from what is [m].
    rise_m, rise : how much of it, above that, is flown higher than drawn [m], and why: the greatest of
        several counts.
    not_drawn : whether nothing that is drawn lies in it, only ways that are not, or on lost link.
    lead_time : how far ahead to ask, in words, with its standing.
    record : the record that covers it, the most of it where several do together, or None.
    beside : the others without which it would not be covered.
    shortfall : why the nearest record does not cover it; '' if there is none.
    falls_short : that record.
    from_m, to_m : first and last distance along the path, None off the path.
    cells : keys of the facility map cells touched.
    floor_amsl_m : lowest floor of what is entered [m AMSL], None where it
        begins at the ground or its floor is not given above sea level.
    rests_at_times : whether all that is entered has times at which it is not active.
    """

    subject: Subject
    airspace: str
    airspace_class: str
    route: Route
    alternatives: tuple[Route, ...] = ()
    cell_ceiling_agl_m: float | None = None
    asked_agl_m: float | None = None
    lead_time: str = ""
    record: PermissionRecord | None = None
    shortfall: str = attrs.field(default="", converter=told)
    from_m: float | None = None
    to_m: float | None = None
    place: Place | None = None
    cells: tuple[str, ...] = ()
    floor_amsl_m: float | None = None
    beside: tuple[PermissionRecord, ...] = ()
    falls_short: PermissionRecord | None = None
    rests_at_times: bool = False
    rise_m: float = 0.0
    rise: Rise = Rise.ON_LOST_LINK
    not_drawn: bool = False
    way_rise_m: float = 0.0

    @property
    def drawn_agl_m(self) -> float | None:
        """Greatest height above ground of what is drawn there [m], None where nothing is or it is unknown."""
        if self.asked_agl_m is None or self.not_drawn:
            return None
        return self.asked_agl_m - self.rise_m - self.way_rise_m

    @property
    def records(self) -> tuple[PermissionRecord, ...]:
        """All records that it rests on together."""
        return () if self.record is None else (self.record, *self.beside)

    @property
    def references(self) -> str:
        """What names those records: 'A1' or 'A1, A2'; '' without any."""
        return ", ".join(record.reference for record in self.records)

    @property
    def agreements(self) -> tuple[PermissionRecord, ...]:
        """Those of them that are agreements of a fixed site, in place of an authorization."""
        return tuple(record for record in self.records if record.kind is PermissionKind.FIXED_SITE_AGREEMENT)

    @property
    def recorded(self) -> bool:
        """Whether a record in hand covers this need."""
        return self.record is not None

    def to_type_agl_m(self, highest_agl_m: float, readout_error_m: float | None) -> float:
        """Return the height above ground to type into a request [m], not yet rounded to feet.

        With what the readout may be off where that is given, but no more than the automated service gives.
        """
        may_m, value_m = highest_agl_m + (readout_error_m or 0.0), self.cell_ceiling_agl_m
        if readout_error_m is None or self.route is not Route.AUTOMATED or value_m is None:
            return may_m
        return min(value_m, may_m)
