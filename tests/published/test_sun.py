"""Where the sun stands, and light by both definitions of twilight.

Positions: US Naval Observatory celestial navigation data, as recorded in a
public test-vector file. Standing B; tolerance 0.02 deg of altitude, 0.05 deg
of azimuth. Twilight: 14 CFR 107.29(c) (standing A) and 14 CFR 1.1 with the
almanac's 6 degrees (standing B); times computed by NOAA / Meeus formulas,
independently of this project. Second way for every time: the NREL solar
position algorithm (Reda and Andreas 2004) as pvlib implements it.
"""

import math
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from pvlib import spa

from planner.geo.place import Place
from planner.world.light import SUN_DOUBT_DEG, earlier_minute, later_minute, sun_times
from planner.world.light_kinds import light_at, light_over
from planner.world.sun_position import sun_course, sun_position

POSITIONS = [
    ("Oslo", 59.9139, 10.7522, datetime(2025, 6, 21, 10, tzinfo=UTC), 51.0019, 150.5503),
    ("Sydney", -33.8688, 151.2093, datetime(2025, 6, 21, 1, tzinfo=UTC), 31.1152, 15.2740),
    ("Reykjavik", 64.1466, -21.9426, datetime(2025, 9, 22, 13, tzinfo=UTC), 25.8298, 174.3340),
]
MIAMI, SEATTLE = Place(-80.1918, 25.7617), Place(-122.3321, 47.6062)
# In Alaska the almanac decides (107.29(c)); the union holds there, too.
FAIRBANKS = Place(-147.7164, 64.8378)
PLACES = 1000
SECONDS = 15.0
DELTA_T_S = 70.0


@pytest.mark.parametrize("row", POSITIONS, ids=lambda row: row[0])
def test_position(row):
    _name, lat_deg, lon_deg, moment, altitude_deg, azimuth_deg = row
    found = sun_position(Place(lon_deg, lat_deg), moment)
    assert found.altitude_deg == pytest.approx(altitude_deg, abs=0.02)
    assert found.azimuth_deg == pytest.approx(azimuth_deg, abs=0.05)


def nrel(lat_deg, lon_deg, moments):
    """Altitude without refraction and azimuth [deg] by the NREL algorithm; arrays or one place."""
    stamps = np.array([moment.timestamp() for moment in moments])
    lat_deg, lon_deg = (
        np.broadcast_to(np.asarray(axis, dtype=float), stamps.shape) for axis in (lat_deg, lon_deg)
    )
    found = spa.solar_position(stamps, lat_deg, lon_deg, 0.0, 1013.25, 12.0, DELTA_T_S, 0.0, 1)
    return found[3], found[4]


def random_days(seed):
    generator = np.random.default_rng(seed)
    sine = np.sin(np.radians(65.0))
    latitudes = np.degrees(np.arcsin(generator.uniform(-sine, sine, PLACES)))
    longitudes = generator.uniform(-180.0, 180.0, PLACES)
    days = generator.integers(0, 3652, PLACES)
    for latitude, longitude, day in zip(latitudes, longitudes, days, strict=True):
        noon = (
            datetime(2021, 1, 1, 12, tzinfo=UTC) + timedelta(days=int(day)) - timedelta(hours=longitude / 15)
        )
        yield Place(float(longitude), float(latitude)), noon


def events(place, noon):
    """Yield moments of a day with what the sun's altitude is then [deg], and the usable whole minutes."""
    times, sure = sun_times(place, noon), sun_times(place, noon, SUN_DOUBT_DEG)
    for moment, surely, altitude_deg, rounded in (
        (times.begin_civil_utc, sure.begin_civil_utc, -6.0, later_minute),
        (times.rise_utc, sure.rise_utc, -50 / 60, later_minute),
        (times.set_utc, sure.set_utc, -50 / 60, earlier_minute),
        (times.end_civil_utc, sure.end_civil_utc, -6.0, earlier_minute),
    ):
        if moment is not None and surely is not None:
            yield place, altitude_deg, moment, rounded(surely)


def test_times_agree_with_another_algorithm_and_rounding_never_lengthens_the_light():
    found = [event for place, noon in random_days(seed=11) for event in events(place, noon)]
    assert len(found) > 3 * PLACES
    places, wanted_deg, moments, usable = zip(*found, strict=True)
    lat_deg, lon_deg = [place.lat_deg for place in places], [place.lon_deg for place in places]
    apart = timedelta(seconds=SECONDS)
    before_deg, _ = nrel(lat_deg, lon_deg, [moment - apart for moment in moments])
    after_deg, _ = nrel(lat_deg, lon_deg, [moment + apart for moment in moments])
    usable_deg, _ = nrel(lat_deg, lon_deg, usable)
    # The other algorithm's event lies between 15 s before and 15 s after ours.
    wanted_deg = np.array(wanted_deg)
    assert ((before_deg - wanted_deg) * (after_deg - wanted_deg) < 0.0).all()
    assert (usable_deg >= wanted_deg).all()
    assert {moment.second for moment in usable} == {0}


def test_course_agrees_with_another_algorithm():
    for place, noon in list(random_days(seed=12))[:40]:
        time_s = np.linspace(-20_000.0, 20_000.0, 97)
        course = sun_course(place, noon, time_s)
        altitude_deg, azimuth_deg = nrel(
            place.lat_deg, place.lon_deg, [noon + timedelta(seconds=float(one)) for one in time_s]
        )
        assert np.abs(course.altitude_deg - altitude_deg).max() < 0.02
        turn = (course.azimuth_deg - azimuth_deg + 180.0) % 360.0 - 180.0
        assert np.abs(turn * np.cos(np.radians(altitude_deg))).max() < 0.02


def spans_of(place, start, hours, **wanted):
    spans = light_over(place, start, start + timedelta(hours=hours))
    assert spans[0].start_utc == start
    assert spans[-1].end_utc == start + timedelta(hours=hours)
    assert all(first.end_utc == second.start_utc for first, second in pairwise(spans))
    return [span for span in spans if all(getattr(span, name) == value for name, value in wanted.items())]


def test_miami_overlap():
    # Evening of 22 September 2026: 107.29(c) ends 19:47:04, night begins 19:40:00 (EDT): 7 minutes of both.
    evening = datetime(2026, 9, 22, 22, tzinfo=UTC)
    (both,) = spans_of(MIAMI, evening, 4, fixed_twilight=True, night=True)
    assert abs(both.start_utc - datetime(2026, 9, 22, 23, 40, tzinfo=UTC)) < timedelta(seconds=60)
    assert abs(both.end_utc - datetime(2026, 9, 22, 23, 47, 4, tzinfo=UTC)) < timedelta(seconds=60)
    assert both.lights_wanted


def test_seattle_gap():
    # Evening of 21 June 2026: (c) ends 21:40:51, night begins 21:51:36 (PDT); neither applies between.
    evening = datetime(2026, 6, 22, 3, tzinfo=UTC)
    (gap,) = spans_of(SEATTLE, evening, 4, between=True)
    assert abs(gap.start_utc - datetime(2026, 6, 22, 4, 40, 51, tzinfo=UTC)) < timedelta(seconds=60)
    assert abs(gap.end_utc - datetime(2026, 6, 22, 4, 51, 36, tzinfo=UTC)) < timedelta(seconds=60)
    assert gap.lights_wanted


@pytest.mark.parametrize("place", [MIAMI, SEATTLE, FAIRBANKS])
def test_lights_are_wanted_from_sunset_to_sunrise(place):
    start = datetime(2026, 9, 22, 12, tzinfo=UTC) - timedelta(hours=place.lon_deg / 15)
    for span in light_over(place, start, start + timedelta(hours=24)):
        middle = span.start_utc + (span.end_utc - span.start_utc) / 2
        up = sun_position(place, middle).altitude_deg > -0.8333
        assert span.lights_wanted is not up
        assert light_at(place, middle).lights_wanted is not up


def test_polar_answers_are_normal():
    far_north = Place(0.0, 70.0)
    summer = light_over(far_north, datetime(2025, 6, 20, tzinfo=UTC), datetime(2025, 6, 25, tzinfo=UTC))
    assert [(span.day, span.night) for span in summer] == [(True, False)]
    winter = datetime(2025, 12, 21, tzinfo=UTC)
    assert spans_of(far_north, winter, 24, day=True) == []
    # USNO: no sunrise, but civil twilight from 09:55 to 14:02 (5 minutes above 65 deg, and our own doubt).
    (twilight,) = spans_of(far_north, winter, 24, almanac_twilight=True)
    assert abs(twilight.start_utc - datetime(2025, 12, 21, 9, 55, tzinfo=UTC)) < timedelta(minutes=10)
    assert abs(twilight.end_utc - datetime(2025, 12, 21, 14, 2, tzinfo=UTC)) < timedelta(minutes=10)
    anchorage = Place(-149.9003, 61.2181)
    assert spans_of(anchorage, datetime(2026, 6, 21, 8, tzinfo=UTC), 24, night=True) == []


@pytest.mark.parametrize("lat_deg", [0.0, 37.8, -62.0, 66.0, 71.0, 80.0, -89.0])
def test_no_day_of_the_year_is_promised_light_that_is_gone(lat_deg):
    place = Place(-150.2, lat_deg)
    start = datetime(2026, 1, 1, tzinfo=UTC)
    spans = light_over(place, start, start + timedelta(days=365))
    long_ones = [span for span in spans if span.end_utc - span.start_utc >= timedelta(seconds=1)]
    for share in (0.001, 0.5, 0.999):
        moments = [span.start_utc + (span.end_utc - span.start_utc) * share for span in long_ones]
        altitude_deg, _ = nrel(place.lat_deg, place.lon_deg, moments)
        day, night = (np.array([getattr(span, name) for span in long_ones]) for name in ("day", "night"))
        assert (altitude_deg[day] > -50 / 60).all()
        assert (altitude_deg[~night] > -6.0).all()
    assert math.isclose(sum((span.end_utc - span.start_utc).total_seconds() for span in spans), 365 * 86400.0)
