"""Reports of stations far away, or of nobody knows where, put in by hand: what each of them leaves open.

That more than 100 km away is another place's weather is an own choice; that visibility and cloud of
14 CFR 107.51(c) and (d) are the flight's own is their text; that what is typed answers it is our own rule.
"""

import attrs
import pytest

from planner.flight.reported import Cloud, Visibility
from planner.flight.reports import Reading
from planner.flight.weather_now import TYPED, Where
from planner.plan.model import Purpose
from planner.rules.far_stations import report_from_afar, report_from_nowhere
from planner.rules.finding import Basis, Mark
from tests.rules.test_weather_by_hand import METAR, case

FAR, NEAR, NOWHERE = Where(100_001.0, 0.0), Where(100_000.0, 0.0), Where(None, None)
SEEN, TYPED_SEEN = (Visibility(8_000.0, False, source) for source in (METAR, TYPED))
CLOUD = Cloud(900.0, True, METAR, 600.0)
TYPED_CLOUD = attrs.evolve(CLOUD, source=TYPED)
BOTH, WIND, SKY, NOTHING = (
    {"tells_wind": wind, "tells_sight": sight}
    for wind, sight in ((True, True), (True, False), (False, True), (False, False))
)


def reading(station, **tells):
    return Reading(f"METAR of {station}", "...", station=station, **tells)


def told(rule, *readings, stations, purpose=Purpose.PART_107, **weather):
    given = {"visibility": SEEN, "clouds": (CLOUD,), "wind_source": METAR} | weather
    return list(rule(case(purpose, readings=readings, stations=stations, **given)))


@pytest.mark.parametrize(
    ("tells", "weather", "lost", "basis"),
    [
        (BOTH, {}, "wind, visibility and cloud are", Basis.SAFETY),
        (SKY, {}, "visibility and cloud are", Basis.LAW),
        (WIND, {}, "wind is", Basis.SAFETY),
        (BOTH, {"wind_source": TYPED}, "visibility and cloud are", Basis.LAW),
        (BOTH, {"wind_source": TYPED, "visibility": TYPED_SEEN}, "cloud is", Basis.LAW),
        (SKY, {"clouds": (CLOUD, TYPED_CLOUD)}, "visibility is", Basis.LAW),
        (SKY, {"visibility": None}, "cloud is", Basis.LAW),
        (BOTH, {"visibility": TYPED_SEEN, "clouds": (TYPED_CLOUD,)}, "wind is", Basis.SAFETY),
        (BOTH, {"purpose": Purpose.RECREATIONAL}, "wind is", Basis.SAFETY),
        (SKY, {"purpose": Purpose.RECREATIONAL}, "", Basis.SAFETY),
        (WIND, {"wind_source": TYPED}, "", Basis.SAFETY),
        (NOTHING, {}, "", Basis.SAFETY),
    ],
)
def test_what_is_only_known_from_afar_is_not_known(tells, weather, lost, basis):
    (one,) = told(report_from_afar, reading("FAR", **tells), stations={"FAR": FAR}, **weather)
    assert (one.mark, one.basis) == (Mark.UNKNOWN if lost else Mark.ACT, basis)
    assert (f"the flight's {lost} not known" in one.message) is bool(lost)
    assert one.citation.startswith("14 CFR 107.51") is (basis is Basis.LAW)
    assert one.numbers["away_m"] == 100_001.0


@pytest.mark.parametrize(
    ("by_near", "where", "lost"),
    [
        (BOTH, NEAR, ""),
        (WIND, NEAR, "visibility and cloud are"),
        (SKY, NEAR, "wind is"),
        (NOTHING, NEAR, "wind, visibility and cloud are"),
        (BOTH, NOWHERE, "wind, visibility and cloud are"),
        (BOTH, attrs.evolve(FAR, away_m=200_000.0), "wind, visibility and cloud are"),
    ],
)
def test_what_a_near_station_tells_as_well_is_known(by_near, where, lost):
    both = (reading("FAR", **BOTH), reading("OTHER", **by_near))
    found = told(report_from_afar, *both, stations={"FAR": FAR, "OTHER": where})
    one = next(each for each in found if "METAR of FAR" in each.title)
    assert len(found) == (2 if where.away_m == 200_000.0 else 1)
    assert (f"the flight's {lost} not known" in one.message) is bool(lost)


def test_a_far_report_that_does_not_count_or_a_near_one_is_no_matter():
    unused = attrs.evolve(reading("FAR", **BOTH), why_unused="too old")
    assert not told(report_from_afar, unused, stations={"FAR": FAR})
    assert not told(report_from_afar, reading("NEAR", **BOTH), stations={"NEAR": NEAR})
    assert not told(report_from_afar, reading("LOST", **BOTH), stations={})
    assert not list(report_from_afar(attrs.evolve(case(), weather=None)))


@pytest.mark.parametrize(
    ("tells", "weather", "is_told"),
    [
        (BOTH, {}, True),
        (WIND, {}, True),
        (SKY, {}, True),
        (NOTHING, {}, False),
        (WIND, {"wind_source": TYPED}, False),
        (SKY, {"visibility": TYPED_SEEN}, True),
        (SKY, {"clouds": (TYPED_CLOUD,)}, True),
        (SKY, {"visibility": TYPED_SEEN, "clouds": (TYPED_CLOUD,)}, False),
        (SKY, {"purpose": Purpose.RECREATIONAL}, False),
    ],
)
@pytest.mark.parametrize("stations", [{}, {"X": NOWHERE}])
def test_a_report_from_nobody_knows_where_is_something_to_do_where_something_of_it_counts(
    tells, weather, is_told, stations
):
    found = told(report_from_nowhere, reading("X", **tells), stations=stations, **weather)
    assert [one.mark for one in found] == [Mark.ACT] * is_told
    assert not told(report_from_nowhere, reading("X", **tells), stations={"X": NEAR}, **weather)
    unused = attrs.evolve(reading("X", **tells), why_unused="too old")
    assert not told(report_from_nowhere, unused, stations=stations, **weather)
