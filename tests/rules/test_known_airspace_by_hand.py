"""Where it is known which airspace there is, asked of records alone.

Own rule of the house ("missing data never becomes ready"): class airspace, special use and security must
speak everywhere, zones for unmanned aircraft where some are published.
"""

import pytest
import shapely

from planner.rules.known_airspace import known_airspace, what_is_not_known_at
from planner.world.layers import LayerName
from tests.worlds import EVERYWHERE, HERE, START, WINDOW, at, layer, layers

EVERY = [LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY]
ZONES = LayerName.UAS_ZONES
WEST = shapely.box(HERE.lon_deg - 1, HERE.lat_deg - 1, HERE.lon_deg, HERE.lat_deg + 1)
HERE_EAST, HERE_WEST = at(900, 0), at(-900, 0)


def charts(name, record):
    return layers(**{name.name.lower(): record})


def same(one, other):
    return one.symmetric_difference(other).area < 1e-3 * EVERYWHERE.area


def test_with_all_layers_all_is_known():
    assert same(known_airspace(layers(), WINDOW), EVERYWHERE)
    assert what_is_not_known_at(layers(), WINDOW, HERE) == frozenset()


@pytest.mark.parametrize("name", EVERY)
def test_without_one_of_the_three_nothing_is_known(name):
    assert known_airspace(charts(name, None), WINDOW).is_empty
    assert what_is_not_known_at(charts(name, None), WINDOW, HERE) == {name}


def test_zones_count_only_where_some_are_published():
    assert same(known_airspace(charts(ZONES, None), WINDOW), EVERYWHERE)
    assert what_is_not_known_at(charts(ZONES, None), WINDOW, HERE) == frozenset()


@pytest.mark.parametrize("name", [*EVERY, ZONES])
def test_each_layer_bounds_what_is_known(name):
    half = charts(name, layer(name, coverage=WEST))
    assert same(known_airspace(half, WINDOW), WEST)
    assert what_is_not_known_at(half, WINDOW, HERE_EAST) == {name}
    assert what_is_not_known_at(half, WINDOW, HERE_WEST) == frozenset()


@pytest.mark.parametrize("name", [*EVERY, ZONES])
@pytest.mark.parametrize("dates", [{"expires_utc": START}, {"expires_utc": None, "effective_utc": None}])
def test_what_has_expired_or_has_no_dates_says_nothing(name, dates):
    old = charts(name, layer(name, **dates))
    assert known_airspace(old, WINDOW).is_empty
    assert what_is_not_known_at(old, WINDOW, HERE) == {name}


@pytest.mark.parametrize("name", [LayerName.FACILITY_MAP, LayerName.OBSTACLES, LayerName.STADIUMS])
def test_what_closes_nothing_is_left_out(name):
    assert same(known_airspace(charts(name, None), WINDOW), EVERYWHERE)
    assert what_is_not_known_at(charts(name, None), WINDOW, HERE) == frozenset()
