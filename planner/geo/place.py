"""A place on the earth."""

import math
from collections.abc import Callable
from typing import Any

import attrs

from planner.errors import PlanError


def _in_range(limit: float, name: str) -> Callable[[Any, Any, float], None]:
    def check(_owner: object, _field: object, value: float) -> None:
        if not math.isfinite(value) or abs(value) > limit:
            raise PlanError(f"{name} {value} is not between -{limit:g} and {limit:g} degrees")

    return check


@attrs.frozen
class Place:
    """Geodetic position in WGS 84 [deg], longitude first as in RFC 7946."""

    lon_deg: float = attrs.field(converter=float, validator=_in_range(180.0, "longitude"))
    lat_deg: float = attrs.field(converter=float, validator=_in_range(90.0, "latitude"))
