"""Fixed flying sites, exempt areas, park lands, aerodromes and what is on the ground."""

from datetime import datetime
from enum import StrEnum

import attrs
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.world.layers import LayerRecord


@attrs.frozen(eq=False)
class FixedSite:
    """A fixed flying site (49 USC 44809(c)); `ceiling_agl_m` as published, or None.

    `told_by`, of whatever can grant: records of the layers that hold it, each good or not by itself.
    """

    key: str
    name: str
    outline: BaseGeometry
    ceiling_agl_m: float | None = None
    told_by: tuple[LayerRecord, ...] = attrs.field(default=(), eq=False, repr=False)


@attrs.frozen(eq=False)
class ExemptArea:
    """An area where flying without Remote ID is allowed (14 CFR part 89 subpart C)."""

    key: str
    name: str
    outline: BaseGeometry
    start_utc: datetime | None = None
    end_utc: datetime | None = None
    told_by: tuple[LayerRecord, ...] = attrs.field(default=(), eq=False, repr=False)


@attrs.frozen(eq=False)
class ClosedLand:
    """Land where launching, landing or operating is closed (36 CFR 1.5 and the like)."""

    key: str
    name: str
    outline: BaseGeometry
    operator: str = ""


class AerodromeKind(StrEnum):
    """What lands there."""

    TOWERED = "towered"
    UNTOWERED = "untowered"
    HELIPORT = "heliport"
    UNKNOWN = "unknown"


@attrs.frozen
class Aerodrome:
    """An aerodrome, for the advisory ring and for the map."""

    ident: str
    name: str
    place: Place
    elevation_amsl_m: float | None = None
    kind: AerodromeKind = AerodromeKind.UNKNOWN


@attrs.frozen
class Stadium:
    """A stadium: games in it restrict what is about it; `seats` None where nobody says how many.

    `reach_m` is how far its ground reaches from its place, 0 where only a point is given.
    """

    name: str
    place: Place
    seats: float | None = None
    reach_m: float = 0.0


@attrs.frozen(eq=False)
class Frequency:
    """A radio frequency of an aerodrome [MHz], with its use as published (CTAF, TWR, ATIS).

    `shape` is the aerodrome's point, empty where its place is not known.
    """

    aerodrome: str
    use: str
    mhz: float
    shape: BaseGeometry
    description: str = ""


class GroundKind(StrEnum):
    """Kinds of features beneath a flight."""

    ROAD = "road"
    TRAIL = "trail"
    BUILDING = "building"
    GATHERING = "gathering"
    RUNWAY = "runway"
    WIRE = "wire"
    WATER = "water"
    LAND_COVER = "land-cover"


@attrs.frozen(eq=False)
class GroundFeature:
    """A road, building, gathering place, wire or stretch of land: geometry in lon/lat degrees.

    `height_m` is how high it stands above the ground below it [m]; None: not given.
    """

    kind: GroundKind
    name: str
    shape: BaseGeometry
    height_m: float | None = None
