"""Which groups that can't be read may be a wind.

Form of the wind: WMO-No. 306, FM 15, dddff(f)Gfmfm and a unit KT or MPS (KMH once was); VRB for no direction,
slashes for what was not measured (from memory).
"""

import pytest

from planner.world.weather.lost_winds import lost_winds, winds_named
from planner.world.weather.metar import read_metar


@pytest.mark.parametrize(
    "group",
    [
        "24045G60KT",
        "2404KT",
        "24O45KT",
        "24045G6OKT",
        "24045",
        "24045G60",
        "VRB",
        "VRBO3KT",
        "KT",
        "24045KTS",
        "P99KT",
    ],
)
def test_what_may_be_a_wind_is_taken_for_one(group):
    assert winds_named([group]) == (group,)


@pytest.mark.parametrize(
    "group",
    ["9999", "20/10", "Q1013", "SKC", "BKN004CB", "WS020/24055KT", "121945Z", "1218/1324", "/////KT", "10SM"],
)
def test_what_is_no_wind_is_not_taken_for_one(group):
    assert winds_named([group]) == ()


@pytest.mark.parametrize(
    ("body", "lost"),
    [
        ("24005KT 9999 SKC", ()),
        ("2404KT 9999 SKC", ("2404KT",)),
        ("24005KT 9999 SKC Q10l3", ()),
        ("24x05 9999 SKC", ("24x05",)),
        ("/////KT 24x05 9999 SKC", ()),
        ("9999 SKC", ()),
        ("40010KT 9999 SKC", ("40010KT",)),
        ("24005KT 24045KT 9999 SKC", ("24045KT", "24005KT")),
    ],
)
def test_an_observation_tells_a_wind_or_one_of_its_unread_groups_may_be_it(body, lost):
    assert set(lost_winds(read_metar(f"METAR ZZZZ 121945Z {body}").conditions, must_tell=True)) == set(lost)
