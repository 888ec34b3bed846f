"""The weather a plan rests on: as typed by the pilot, and reports as they were issued."""

from enum import StrEnum

import attrs

from planner.errors import PlanError
from planner.plan.bounds import WIND_HEIGHT
from planner.plan.checks import bounded, not_empty, within

# No wind of more than this was ever measured near the ground (113 m/s); a typed one above it is a slip.
_STRONGEST_MPS = 115.0
_COLDEST_C, _HOTTEST_C = -90.0, 60.0
_LOWEST_HPA, _HIGHEST_HPA = 850.0, 1090.0


class WindLaw(StrEnum):
    """How wind is taken to grow with height above ground."""

    POWER = "power-law"
    LOGARITHMIC = "logarithmic"
    NONE = "the-same-at-every-height"


@attrs.frozen
class TypedWind:
    """Wind as the pilot states it.

    Parameters
    ----------
    speed_mps : mean speed [m/s].
    from_true_deg : where it blows from, clockwise from true north [deg].
    gust_mps : peak speed [m/s], None where none is known.
    measured_at_m : height above ground at which it was measured [m].
    law : how it grows with height.
    """

    speed_mps: float = attrs.field(validator=within(0.0, _STRONGEST_MPS, "the wind"))
    from_true_deg: float = attrs.field(validator=within(0.0, 360.0, "the wind's direction"))
    gust_mps: float | None = attrs.field(
        default=None,
        validator=attrs.validators.optional(within(0.0, _STRONGEST_MPS, "the gust")),
    )
    measured_at_m: float = attrs.field(
        default=10.0,
        validator=bounded(WIND_HEIGHT, "the height of the wind's measurement"),
    )
    law: WindLaw = WindLaw.POWER

    def __attrs_post_init__(self) -> None:
        if self.gust_mps is not None and self.gust_mps < self.speed_mps:
            raise PlanError("the gust is weaker than the mean wind", remedy="give the peak, or leave it out")


@attrs.frozen
class Station:
    """Where a report was made: an aerodrome's place [deg] and height [m AMSL], copied into the plan."""

    ident: str = attrs.field(validator=not_empty("the station's name"))
    lon_deg: float = attrs.field(validator=within(-180.0, 180.0, "the station's longitude"))
    lat_deg: float = attrs.field(validator=within(-90.0, 90.0, "the station's latitude"))
    elevation_amsl_m: float | None = attrs.field(
        default=None,
        validator=attrs.validators.optional(within(-500.0, 9_000.0, "the station's height")),
    )
    name: str = ""


@attrs.frozen
class PlannedWeather:
    """What the pilot knows of the weather; every part may be absent.

    `metar` and `taf` are the reports' text as issued, character for
    character, `station` where they were made. What is typed goes before what
    they say. `cloud_base_m` is the lowest cloud above the launch point [m].
    """

    wind: TypedWind | None = None
    cloud_base_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(within(0.0, 20_000.0, "the cloud base"))
    )
    temperature_c: float | None = attrs.field(
        default=None,
        validator=attrs.validators.optional(within(_COLDEST_C, _HOTTEST_C, "the temperature")),
    )
    pressure_hpa: float | None = attrs.field(
        default=None,
        validator=attrs.validators.optional(within(_LOWEST_HPA, _HIGHEST_HPA, "the pressure")),
    )
    metar: str = ""
    taf: str = ""
    station: Station | None = None
