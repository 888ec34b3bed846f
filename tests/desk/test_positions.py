"""Positions as typed. 374843N is 37 degrees, 48 minutes, 43 seconds north: common practice in notices."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.desk.positions import parse_corners, parse_place, place_text
from planner.errors import PlanError
from planner.geo.place import Place

SEATTLE_LIKE = (37 + 48 / 60 + 43 / 3600, -(150 + 14 / 60 + 38 / 3600))


@pytest.mark.parametrize(
    "text",
    [
        "374843N1501438W",
        "374843N 1501438W",
        "37 48 43 N 150 14 38 W",
        "37°48'43\"N, 150°14'38\"W",
        "37°48\u203243\u2033N 150°14\u203238\u2033W",
        "3748.7166667N15014.6333333W",
        "37.8119444N 150.2438889W",
        "N37 48 43 W150 14 38",
        "N374843 W1501438",
        "n37°48.7166667' w150°14.6333333'",
        "37:48:43N 150:14:38W",
        "37-48-43N 150-14-38W",
        "37.8119444°, -150.2438889°",
        "37.8119444 \u2212150.2438889",
        "37.8119444, -150.2438889",
        " 37.8119444 -150.2438889 ",
    ],
)
def test_ways_to_write_one_place(text):
    place = parse_place(text)
    assert (place.lat_deg, place.lon_deg) == pytest.approx(SEATTLE_LIKE, abs=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "here",
        "37.8",
        "91 0",
        "0 181",
        "376143N1501438W",
        "37 61 00N 150 0 0W",
        "N W",
        "1 2 3 4 N 5 W",
        "N37 N150",
        "37N -150W",
    ],
)
def test_what_is_no_place_is_said(text):
    with pytest.raises(PlanError) as caught:
        parse_place(text)
    assert "\n" not in caught.value.one_line()


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_what_is_written_is_read_again(lat_deg, lon_deg):
    back = parse_place(place_text(Place(lon_deg, lat_deg)))
    assert (back.lat_deg, back.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=1e-6)


def test_corners_are_parted_by_semicolons_or_lines():
    places = parse_corners("37 -150; 38 -150\n38 -151;")
    assert [place.lat_deg for place in places] == [37, 38, 38]
    assert len(parse_corners("37 -150; 38 -150; 38 -151; 37 -150")) == 3
