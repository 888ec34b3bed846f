"""Airspace volumes and facility map cells."""

import math
from datetime import datetime
from enum import StrEnum
from functools import cached_property

import attrs
import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.window import TimeWindow
from planner.world.layers import LayerRecord
from planner.world.schedule.activity import Hours, active_throughout, activity_in, rests_at_times
from planner.world.schedule.local_time import StatedClock
from planner.world.schedule.model import Activity


class AirspaceKind(StrEnum):
    """Kinds of airspace, Class E told apart by what it is designated for."""

    CLASS_A = "class-a"
    CLASS_B = "class-b"
    CLASS_C = "class-c"
    CLASS_D = "class-d"
    CLASS_E2 = "class-e2"
    CLASS_E3 = "class-e3"
    CLASS_E4 = "class-e4"
    CLASS_E_OTHER = "class-e-other"
    PROHIBITED = "prohibited"
    RESTRICTED = "restricted"
    SECURITY = "security"
    STADIUM = "stadium"
    TEMPORARY = "temporary"
    WARNING = "warning"
    MILITARY_OPERATIONS = "military-operations"
    ALERT = "alert"
    NATIONAL_SECURITY = "national-security"
    ZONE_PROHIBITED = "zone-prohibited"
    ZONE_PERMISSION = "zone-permission"
    ZONE_OPEN = "zone-open"
    TRAINING_ROUTE = "training-route"
    PARACHUTE = "parachute"
    GLIDER = "glider"
    OTHER = "other"


NEEDS_AUTHORIZATION = frozenset(
    {
        AirspaceKind.CLASS_A,
        AirspaceKind.CLASS_B,
        AirspaceKind.CLASS_C,
        AirspaceKind.CLASS_D,
        AirspaceKind.CLASS_E2,
    }
)
"""14 CFR 107.41 and 49 USC 44809(a)(5): B, C, D, and E surface areas designated for an airport.

Class A, which these do not name, is no lower where those rules hold; elsewhere nobody enters it unasked.
"""

REVERTING = frozenset({AirspaceKind.CLASS_B, AirspaceKind.CLASS_C, AirspaceKind.CLASS_D})
"""What becomes other airspace outside its hours: a part-time surface area reverts to Class E or G."""

NEEDS_INQUIRY = frozenset({AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E4})
"""Extensions: an FAA memo of 2018 and AIM 3-2-6 part on whether authorization is needed."""

FORBIDDEN_WHILE_ACTIVE = frozenset(
    {
        AirspaceKind.PROHIBITED,
        AirspaceKind.RESTRICTED,
        AirspaceKind.SECURITY,
        AirspaceKind.STADIUM,
        AirspaceKind.TEMPORARY,
        AirspaceKind.ZONE_PROHIBITED,
        AirspaceKind.ZONE_PERMISSION,
    }
)


class LimitReference(StrEnum):
    """What a vertical limit is measured from; UNKNOWN limits are taken as widest."""

    SURFACE = "surface"
    ABOVE_GROUND = "above-ground"
    SEA_LEVEL = "above-sea-level"
    UNLIMITED = "unlimited"
    UNKNOWN = "unknown"


@attrs.frozen
class VerticalLimit:
    """Lower or upper limit of a volume; `m` is read with its reference only.

    A figure that is no number makes the limit unknown.
    """

    reference: LimitReference
    m: float = 0.0

    def __attrs_post_init__(self) -> None:
        if isinstance(self.m, float) and not math.isfinite(self.m):
            object.__setattr__(self, "reference", LimitReference.UNKNOWN)
            object.__setattr__(self, "m", 0.0)

    def floor_amsl_m(self, ground_amsl_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the limit as a floor over that ground; unknown is the ground itself."""
        match self.reference:
            case LimitReference.SEA_LEVEL:
                return np.full_like(ground_amsl_m, self.m)
            case LimitReference.ABOVE_GROUND:
                return ground_amsl_m + self.m
            case LimitReference.UNLIMITED:
                return np.full_like(ground_amsl_m, np.inf)
            case _:
                return np.full_like(ground_amsl_m, -np.inf)

    def top_amsl_m(self, ground_amsl_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the limit as a top over that ground; unknown is without bound."""
        match self.reference:
            case LimitReference.SEA_LEVEL:
                return np.full_like(ground_amsl_m, self.m)
            case LimitReference.ABOVE_GROUND:
                return ground_amsl_m + self.m
            case LimitReference.SURFACE:
                return ground_amsl_m.copy()
            case _:
                return np.full_like(ground_amsl_m, np.inf)


SURFACE = VerticalLimit(LimitReference.SURFACE)
UNLIMITED = VerticalLimit(LimitReference.UNLIMITED)


@attrs.frozen(eq=False)
class AirspaceVolume:
    """One volume: outline in lon/lat degrees, floor and top, activity.

    `key` is unique in a world. `schedule` is the publisher's text; '' and
    whatever can't be read count as always active. `active_from_utc` and
    `active_to_utc` bound temporary restrictions and events; `given_by_days`: they were
    bare days, counted from the first place on earth to the last. `utc_offset_h` is
    the record's offset of local standard time from UTC [h], None if not stated,
    and `summer_time` whether it says that summer time is kept, as published.
    """

    key: str
    name: str
    kind: AirspaceKind
    outline: BaseGeometry
    floor: VerticalLimit = SURFACE
    top: VerticalLimit = UNLIMITED
    ident: str = ""
    agency: str = ""
    schedule: str = ""
    active_from_utc: datetime | None = None
    active_to_utc: datetime | None = None
    given_by_days: bool = False
    layer: str = attrs.field(default="", converter=str)
    utc_offset_h: float | None = None
    summer_time: str = ""

    def active_during(self, window: TimeWindow | None) -> Activity:
        """Return whether the volume is active at any moment of a window; without one it is."""
        if window is None:
            return Activity.ACTIVE
        if not window.overlaps(self.active_from_utc, self.active_to_utc):
            return Activity.INACTIVE
        if not self.schedule:
            return Activity.ACTIVE
        return activity_in(self._hours, window)

    def active_throughout(self, window: TimeWindow | None) -> bool:
        """Return whether it is surely active at every moment of a window; without one, at all times."""
        dates = (self.active_from_utc, self.active_to_utc)
        within = dates == (None, None) if window is None else window.within(*dates)
        return within and active_throughout(self._hours, window)

    @property
    def rests_at_times(self) -> bool:
        """Whether its dates or hours leave moments at which it is plainly not active."""
        dated = self.active_from_utc is not None or self.active_to_utc is not None
        return dated or rests_at_times(self._hours)

    @cached_property
    def _hours(self) -> Hours:
        west, south, east, north = self.outline.bounds
        stated = StatedClock(self.utc_offset_h, self.summer_time)
        return Hours(self.schedule, (west, south, east, north), stated, self.kind in REVERTING)


@attrs.frozen(eq=False)
class FacilityCell:
    """A facility map cell: highest height [m AGL] an automated request can get.

    `ceiling_agl_m` is None where the published figure is not a multiple of
    50 ft from 0 to 400 (JO 7210.3 ch. 12 §10): then nothing is known.
    `automated` says whether the automated service answers for this cell.
    `airport` and `airport_ident` are the first airport the cell names,
    `more_airports` the others, each with its identifier before it. `told_by`
    are the records of the layers that hold it.
    """

    key: str
    outline: BaseGeometry
    ceiling_agl_m: float | None
    published: str = ""
    airport: str = ""
    automated: bool = True
    airport_ident: str = ""
    more_airports: str = ""
    told_by: tuple[LayerRecord, ...] = attrs.field(default=(), eq=False, repr=False)
