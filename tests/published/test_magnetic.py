"""Declination against the World Magnetic Model's own published values."""

from datetime import UTC, datetime, timedelta

import pytest

from planner.geo.geodesy import TrueBearing
from planner.geo.magnetic import VALID_TO_UTC, decimal_year, declination_deg, magnetic
from planner.geo.place import Place

# WMM2025_TEST_VALUES (NOAA NCEI), standing A: year, km above the ellipsoid, lat, lon, declination.
OFFICIAL = (
    (2025.0, 18, 0, 21, 1.29), (2025.0, 66, 14, 143, -0.19), (2025.0, 65, 43, 93, 0.50),
    (2025.5, 44, 33, -118, 11.10), (2025.5, 69, 38, -144, 12.93), (2025.5, 22, -37, 140, 9.28),
    (2026.0, 69, 23, 63, 1.17), (2026.0, 83, 86, -46, -30.61), (2026.5, 12, 33, -145, 11.96),
    (2026.5, 19, 29, 66, 2.24), (2026.5, 12, -79, 115, -137.58), (2027.0, 61, 59, -77, -16.48),
    (2027.0, 67, 72, -115, 13.73), (2027.5, 8, 62, 53, 19.39), (2027.5, 0, -13, -59, -17.49),
    (2028.5, 28, 54, -120, 15.43), (2028.5, 11, 34, 0, 1.57), (2029.5, 31, 13, -132, 9.04),
    (2029.5, 33, 17, 5, 0.89),
)  # fmt: skip


def moment(year: float) -> datetime:
    start = datetime(int(year), 1, 1, tzinfo=UTC)
    return start + (year - int(year)) * (datetime(int(year) + 1, 1, 1, tzinfo=UTC) - start)


@pytest.mark.parametrize(("year", "km", "lat", "lon", "wanted"), OFFICIAL)
def test_the_official_rows(year: float, km: float, lat: float, lon: float, wanted: float):
    found = declination_deg(Place(lon, lat), moment(year), km)
    # The official file's own tolerance on declination, 0.005 degrees, on values rounded to 0.01.
    assert found == pytest.approx(wanted, abs=0.0055)


def test_the_values_of_the_report_and_of_a_manual():
    """WMM2025 report table (standing A), and a vendor manual's example of 4 July 2028 (standing B)."""
    assert declination_deg(Place(0.0, 80.0), moment(2025.0)) == pytest.approx(1.28, abs=0.006)
    natick = declination_deg(Place(-71.35, 42.283), moment(2028.5036), 1.0)
    assert natick == pytest.approx(-13.689, abs=0.001)


def test_outside_its_years_the_model_says_nothing():
    """WMM2025 is valid from 2025.0 to 2030.0 (standing A)."""
    somewhere = Place(-150.2, 37.8)
    assert declination_deg(somewhere, datetime(2024, 12, 31, 23, tzinfo=UTC)) is None
    assert declination_deg(somewhere, VALID_TO_UTC) is None
    assert declination_deg(somewhere, VALID_TO_UTC - timedelta(seconds=1)) is not None


def test_east_is_least():
    """Common practice: magnetic = true - east declination."""
    assert magnetic(TrueBearing(5.0), 12.0).deg == pytest.approx(353.0)
    assert magnetic(TrueBearing(350.0), -14.0).deg == pytest.approx(4.0)


def test_a_leap_year_is_a_day_longer():
    assert decimal_year(datetime(2028, 7, 2, tzinfo=UTC)) == pytest.approx(2028.5)
