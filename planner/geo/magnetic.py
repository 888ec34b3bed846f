"""Magnetic declination from the World Magnetic Model (pygeomag's coefficients of WMM2025)."""

from datetime import UTC, datetime
from functools import cache
from typing import Any, Final

import attrs

from planner.geo.geodesy import TrueBearing
from planner.geo.place import Place

MODEL: Final = "WMM2025"
VALID_FROM_UTC: Final = datetime(2025, 1, 1, tzinfo=UTC)
VALID_TO_UTC: Final = datetime(2030, 1, 1, tzinfo=UTC)
# The model's own error budget gives about this much away from the magnetic poles.
MODEL_DOUBT_DEG: Final = 0.4


def _turned(deg: float) -> float:
    return float(deg) % 360.0


@attrs.frozen
class MagneticBearing:
    """Direction clockwise from magnetic north [deg], 0 <= deg < 360."""

    deg: float = attrs.field(converter=_turned)


def declination_deg(place: Place, at_utc: datetime, height_km: float = 0.0) -> float | None:
    """Return how far magnetic north lies east of true north [deg]; None outside the model's years.

    References
    ----------
    World Magnetic Model 2025 (NOAA NCEI and BGS), valid 2025.0 to 2030.0.
    """
    if not VALID_FROM_UTC <= at_utc < VALID_TO_UTC:
        return None
    found = _model().calculate(place.lat_deg, place.lon_deg, height_km, decimal_year(at_utc))
    return float(found.d)


def magnetic(toward: TrueBearing, declination: float) -> MagneticBearing:
    """Return a true bearing as the compass shows it where the declination [deg east] is that."""
    return MagneticBearing(toward.deg - declination)


def decimal_year(at_utc: datetime) -> float:
    """Return a moment as a year and its fraction."""
    start, end = datetime(at_utc.year, 1, 1, tzinfo=UTC), datetime(at_utc.year + 1, 1, 1, tzinfo=UTC)
    return at_utc.year + (at_utc - start) / (end - start)


@cache
def _model() -> Any:  # noqa: ANN401
    # Loaded only when a sheet is made: the desk starts without it.
    from pygeomag import GeoMag
    from pygeomag.wmm.wmm_2025 import WMM_2025

    return GeoMag(coefficients_data=WMM_2025)
