"""What is told of danger, wet and wind, where what reports say is put in by hand.

Which weather no small aircraft flies in is common practice; that no report of more wind is outvoted by a
typed figure, and that a wind given and not read leaves it open, is the project's own rule.
"""

from datetime import timedelta
from types import SimpleNamespace

import attrs
import pytest

from planner.flight.reported import Blowing, Cloud, Danger, Reported, Visibility, Wet
from planner.flight.reports import Reading
from planner.flight.weather_now import TYPED
from planner.flight.wind import Wind
from planner.rules.danger_words import danger_words
from planner.rules.finding import Mark
from planner.rules.weather_reports import (
    air_of_part,
    cloud_against_report,
    dangerous_weather,
    sight_of_part,
    wet_weather,
    wind_not_known,
    wind_of_part,
)
from planner.rules.wind_against_report import wind_against_report
from tests.rules.test_weather_by_hand import CASE, METAR, case, one_of

# ---- danger and wind


def test_dangerous_weather_is_a_stop_and_something_to_do_where_it_is_elsewhere():
    dangers = (Danger("TSRA", METAR, False), Danger("VCTS", "TAF", True))
    stop, act = dangerous_weather(case(reported=Reported(dangers=dangers)))
    assert [(one.rule, one.mark) for one in (stop, act)] == [
        ("dangerous-weather", Mark.STOP), ("dangerous-weather", Mark.ACT)
    ]  # fmt: skip
    assert stop.message == f"{METAR} says TSRA (thunderstorm)."


def test_what_one_report_says_is_told_once_with_all_its_groups():
    source = "TAF, for a time"
    dangers = tuple(Danger(one, source, True) for one in ("TSRA", "BKN008CB", "TSRA"))
    (one,) = dangerous_weather(case(reported=Reported(dangers=dangers)))
    assert one.message == f"{source} says TSRA (thunderstorm), BKN008CB (thundercloud, cumulonimbus)."


# WMO No. 306, code tables 4678 and FM 15 (from memory).
@pytest.mark.parametrize(
    ("group", "words"),
    [
        ("+TSGR", "thunderstorm and hail"),
        ("VCTS", "thunderstorm in the vicinity"),
        ("VCPO", "dust or sand whirls in the vicinity"),
        ("BKN045CB", "thundercloud, cumulonimbus"),
        ("-FZDZ", "freezing rain, drizzle or fog"),
        ("+FC", "funnel cloud"),
        ("BLSN", "blowing snow, dust or sand"),
        ("//////TCU", "towering cumulus"),
        ("SHRAPL", "ice pellets"),
        ("PO", "dust or sand whirls"),
    ],
)
def test_what_a_group_warns_of(group, words):
    assert danger_words(group) == words


@pytest.mark.parametrize("rule", [dangerous_weather, wet_weather, wind_not_known, wind_against_report])
def test_without_any_weather_nothing_bad_is_told(rule):
    assert not list(rule(attrs.evolve(CASE, weather=None)))
    assert not list(rule(case()))


RAIN, FOG = Wet("RA", METAR, mist=False), Wet("FG", "TAF", mist=True)


@pytest.mark.parametrize(
    ("wets", "celsius", "groups", "ice"),
    [
        ((RAIN,), 10.0, [f"{METAR} says RA"], ""),
        ((RAIN, FOG), 0.1, [f"{METAR} says RA"], ""),
        ((RAIN,), None, [f"{METAR} says RA"], "Whether it freezes to the aircraft is not known"),
        # Fog and mist count where they freeze: from 0 degrees C on.
        ((FOG,), 0.0, ["TAF says FG"], "At 0 degrees C it may freeze"),
        ((RAIN, FOG), -5.0, [f"{METAR} says RA", "TAF says FG"], "At -5 degrees C it may freeze"),
        ((FOG,), 0.1, [], ""),
        ((FOG,), None, [], ""),
        ((), -5.0, [], ""),
    ],
)
def test_wet_weather_is_something_to_do_and_what_freezes_more(wets, celsius, groups, ice):
    found = one_of(wet_weather, case(temperature_c=celsius, reported=Reported(wets=wets)))
    assert (found is not None) is bool(groups)
    if found:
        frozen = "may freeze" in ice
        assert (found.rule, found.mark) == ("wet-weather", Mark.ACT)
        assert found.message.startswith("; ".join(groups) + ". Water in motors")
        assert ice in found.message
        assert ("degrees C" in found.message) is frozen
        assert ("no temperature" in found.message) is (celsius is None)
        assert found.title == ("Wet and freezing weather" if frozen else "Rain or snow")
        assert ("not where ice may form" in found.remedy) is frozen


@pytest.mark.parametrize(
    ("why_unused", "rule", "said"),
    [
        ("", "wind-not-read", "METAR says 27099KT, 280V. So the wind of the flight is not known."),
        (
            "too old",
            "wind-not-counted",
            "METAR says 27099KT, 280V; nothing of it is used: too old. So the wind",
        ),
    ],
)
def test_a_wind_that_is_given_and_does_not_count_leaves_it_open(why_unused, rule, said):
    reading = Reading("METAR", "XX01 ...", lost_winds=("27099KT", "280V"), why_unused=why_unused)
    for wind, reckoned in ((None, "still air"), (Wind(3.0, 270.0, 3.0), "the wind that could be read")):
        found = one_of(wind_not_known, case(readings=(reading,), wind=wind, wind_source=METAR))
        if why_unused and wind is not None:
            # One that counts makes up for one that does not.
            assert found is None
            continue
        assert (found.rule, found.mark) == (rule, Mark.UNKNOWN)
        assert found.message.startswith(said)
        assert reckoned in found.message
    assert one_of(wind_not_known, case(readings=(Reading("METAR", "XX01 ..."),))) is None


@pytest.mark.parametrize(
    ("said", "used", "source", "tells"),
    [
        ((5.0, 8.0), (5.0, 8.0), TYPED, False),
        # Reports give whole knots, 0.51 m/s: so much less may be measured beside one.
        ((5.5, 8.5), (5.0, 8.0), TYPED, False),
        ((5.7, 8.0), (5.0, 8.0), TYPED, True),
        ((5.0, 8.7), (5.0, 8.0), TYPED, True),
        ((4.0, 7.0), (5.0, 8.0), TYPED, False),
        ((9.0, 9.0), (5.0, 8.0), METAR, False),
        (None, (5.0, 8.0), TYPED, False),
        ((9.0, 9.0), None, TYPED, False),
    ],
)
def test_more_wind_than_is_typed_is_something_to_do(said, used, source, tells):
    def wind(speeds):
        return None if speeds is None else Wind(speeds[0], 270.0, speeds[1])

    blowings = () if said is None else (Blowing(wind(said), METAR, False),)
    given = case(wind=wind(used), wind_source=source, reported=Reported(blowings=blowings))
    found = one_of(wind_against_report, given)
    assert (found is not None) is tells
    if found:
        assert (found.rule, found.mark) == ("wind-against-report", Mark.ACT)
        # 8 m/s are 15.6 kt.
        assert found.message.endswith("reckoned with is 10 kt, gusts 16 kt.")


# ---- a report that tells of a part of the flight's hours: our own rule, what nobody tells is not known

START = CASE.plan.window.start_utc
PART = Reading(
    "TAF",
    "...",
    tells_wind=True,
    tells_sight=True,
    tells_air=True,
    untold_hours="It ends at 19:30",
    untold=((START + timedelta(minutes=30), START + timedelta(hours=1)),),
)
WHOLE = attrs.evolve(PART, name="METAR", untold_hours="", untold=())
SEEN = Visibility(8_000.0, False, "TAF")
CLOUD = Cloud(900.0, True, "TAF", 600.0)


def of_part(rule, *readings, **weather):
    given = {"wind_source": "TAF", "visibility": SEEN, "clouds": (CLOUD,), "temperature_c": 11.6} | weather
    flown = attrs.evolve(CASE, flight=SimpleNamespace(charge="reckoned"))
    return one_of(rule, case(base=flown, readings=readings, **given))


@pytest.mark.parametrize("rule", [wind_of_part, air_of_part, sight_of_part])
def test_what_a_report_tells_of_a_part_of_the_hours_is_told_by_which_they_are(rule):
    assert of_part(rule, PART).message.startswith("Of the TAF: it ends at 19:30. ")
    assert of_part(rule, PART, WHOLE) is None
    assert of_part(rule, attrs.evolve(PART, tells_wind=False, tells_sight=False, tells_air=False)) is None
    assert not list(rule(attrs.evolve(CASE, weather=None)))


def test_wind_and_sight_of_a_part_are_open_and_the_air_is_something_to_do():
    assert of_part(wind_of_part, PART).mark is Mark.UNKNOWN
    assert of_part(wind_of_part, PART, wind_source=TYPED) is None
    assert of_part(sight_of_part, PART).mark is Mark.UNKNOWN
    air = of_part(air_of_part, PART)
    assert air.mark is Mark.ACT
    assert "its 12 degrees C all the same" in air.message
    assert of_part(air_of_part, PART, temperature_typed=True) is None
    assert of_part(air_of_part, PART, temperature_c=None) is None
    no_charge = attrs.evolve(CASE, flight=SimpleNamespace(charge=None))
    assert one_of(air_of_part, case(base=no_charge, readings=(PART,), temperature_c=11.6)) is None


@pytest.mark.parametrize(
    ("weather", "title"),
    [
        ({}, "Visibility and cloud of a part of"),
        ({"visibility": None}, "Cloud of a part of"),
        ({"visibility": attrs.evolve(SEEN, source=TYPED)}, "Cloud of a part of"),
        ({"clouds": (CLOUD, attrs.evolve(CLOUD, source=TYPED))}, "Visibility of a part of"),
    ],
)
def test_of_the_sky_what_is_typed_is_known_all_the_time(weather, title):
    assert of_part(sight_of_part, PART, **weather).title.startswith(title)
    seen, cloud = (attrs.evolve(one, source=TYPED) for one in (SEEN, CLOUD))
    assert of_part(sight_of_part, PART, visibility=seen, clouds=(cloud,)) is None


def test_of_two_bases_that_are_typed_the_lower_one_is_named():
    """1,000 m are 3,281 ft, told rounded to the foot."""
    high, low = (attrs.evolve(CLOUD, source=TYPED, base_amsl_m=base_m) for base_m in (2_000.0, 1_000.0))
    told = Reported(clouds=(attrs.evolve(CLOUD, base_amsl_m=350.0),))
    found = one_of(cloud_against_report, case(clouds=(high, low), reported=told))
    assert found.message.endswith("Typed is 3,281 ft above the sea.")
