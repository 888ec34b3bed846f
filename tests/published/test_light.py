"""Sunrise, sunset and civil twilight against published values.

USNO rows: US Naval Observatory, as recorded in public test files (one of them
the observatory's own API response). Standing B. Printed to the minute.
Computed rows: NOAA / Meeus formulas, evaluated independently of this project.
Standing computed. Tolerance 60 s, 5 minutes above 65 degrees of latitude.
"""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from planner.geo.place import Place
from planner.world.light import earlier_minute, later_minute, sun_times

USNO = [
    # place, latitude, longitude, day, hours from UTC, begin civil, rise, transit, set, end civil
    ("Washington DC", 38.889444, -77.035278, "2024-03-05", -5, "06:07", "06:34", "12:19", "18:06", "18:32"),
    ("Oslo", 59.9139, 10.7522, "2025-06-21", 0, "00:10", "01:54", "11:19", "20:44", "22:28"),
    ("London", 51.5074, -0.1278, "2025-06-21", 0, "02:55", "03:43", None, "20:22", "21:09"),
    ("Quito", -0.1807, -78.4678, "2025-03-20", 0, "10:57", "11:18", "17:21", "23:24", "23:45"),
    ("Reykjavik", 64.1466, -21.9426, "2025-12-21", 0, "10:03", "11:22", "13:26", "15:30", "16:49"),
    ("70 N, 0 E", 70.0, 0.0, "2025-12-21", 0, "09:55", "none", None, "none", "14:02"),
    ("70 N, 0 E", 70.0, 0.0, "2025-06-21", 0, "none", "none", "12:02", "none", "none"),
]
COMPUTED = [
    (
        "Miami",
        25.7617,
        -80.1918,
        "2026-09-22",
        -4,
        "06:46:26",
        "07:09:24",
        "13:13:25",
        "19:17:04",
        "19:40:00",
    ),
    (
        "Seattle",
        47.6062,
        -122.3321,
        "2026-06-21",
        -7,
        "04:30:49",
        "05:11:34",
        "13:11:13",
        "21:10:51",
        "21:51:36",
    ),
    (
        "Denver",
        39.7392,
        -104.9903,
        "2026-11-25",
        -7,
        "06:26:14",
        "06:55:47",
        "11:47:01",
        "16:37:56",
        "17:07:29",
    ),
    (
        "Atlanta",
        33.749,
        -84.388,
        "2026-06-21",
        -4,
        "05:58:19",
        "06:27:25",
        "13:39:25",
        "20:51:25",
        "21:20:31",
    ),
    (
        "Fairbanks",
        64.8378,
        -147.7164,
        "2026-12-21",
        -9,
        "09:32:43",
        "10:58:24",
        "12:49:08",
        "14:39:53",
        "16:05:33",
    ),
    ("Anchorage", 61.2181, -149.9003, "2026-06-21", -8, "none", "04:20:14", "14:01:30", "23:42:44", "none"),
]


def agrees(moment, printed, day, zone, tolerance_s):
    if printed is None:
        return True
    if printed == "none" or moment is None:
        return printed == "none" and moment is None
    expected = datetime.fromisoformat(f"{day}T{printed}").replace(tzinfo=zone)
    return abs((moment - expected).total_seconds()) <= tolerance_s


@pytest.mark.parametrize("row", USNO + COMPUTED, ids=lambda row: f"{row[0]} {row[3]}")
def test_times_agree_with_published_ones(row):
    _name, lat, lon, day, hours, begin, rise, transit, sets, end = row
    zone = timezone(timedelta(hours=hours))
    noon = datetime.fromisoformat(f"{day}T12:00").replace(tzinfo=zone)
    times = sun_times(Place(lon, lat), noon.astimezone(UTC))
    tolerance_s = 300 if lat > 65 else 60
    assert agrees(times.begin_civil_utc, begin, day, zone, tolerance_s)
    assert agrees(times.rise_utc, rise, day, zone, tolerance_s)
    assert agrees(times.noon_utc, transit, day, zone, tolerance_s)
    assert agrees(times.set_utc, sets, day, zone, tolerance_s)
    assert agrees(times.end_civil_utc, end, day, zone, tolerance_s)


def test_days_without_an_event_say_why():
    far_north = Place(0.0, 70.0)
    summer = sun_times(far_north, datetime(2025, 6, 21, 12, tzinfo=UTC))
    winter = sun_times(far_north, datetime(2025, 12, 21, 12, tzinfo=UTC))
    anchorage = sun_times(Place(-149.9003, 61.2181), datetime(2026, 6, 21, 22, tzinfo=UTC))
    pole = sun_times(Place(0.0, 89.9), datetime(2025, 12, 21, 12, tzinfo=UTC))
    assert (summer.never_sets, summer.never_rises, summer.twilight_all_night) == (True, False, True)
    assert (winter.never_sets, winter.never_rises, winter.twilight_all_night) == (False, True, False)
    assert (anchorage.never_sets, anchorage.twilight_all_night) == (False, True)
    assert (pole.never_rises, pole.twilight_all_night, pole.begin_civil_utc) == (True, False, None)


@pytest.mark.parametrize("hour", range(0, 24, 3))
def test_a_day_is_the_solar_day_whatever_the_zone(hour):
    # 150 W: the evening of a day is the next day in UTC.
    moment = datetime(2026, 11, 25, 10, tzinfo=UTC) + timedelta(hours=hour)
    times = sun_times(Place(-150.2, 37.8), moment)
    assert abs(times.noon_utc - moment) <= timedelta(hours=12, minutes=1)
    assert times.begin_civil_utc < times.rise_utc < times.noon_utc < times.set_utc < times.end_civil_utc
    assert times.end_civil_utc - times.begin_civil_utc < timedelta(hours=12)


def test_rounding_shortens_the_light():
    moment = datetime(2026, 11, 25, 16, 38, 59, tzinfo=UTC)
    assert earlier_minute(moment) == datetime(2026, 11, 25, 16, 38, tzinfo=UTC)
    assert later_minute(moment) == datetime(2026, 11, 25, 16, 39, tzinfo=UTC)
    assert later_minute(earlier_minute(moment)) == earlier_minute(moment)
