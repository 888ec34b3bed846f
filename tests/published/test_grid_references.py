"""Grid references against examples published elsewhere; see each check for its source."""

import pytest

from planner.desk.grid_forms import mgrs, utm
from planner.desk.positions import parse_place
from planner.errors import PlanError
from planner.geo.geodesy import distance_m
from planner.geo.place import Place

# The manual page GeoConvert(1) of GeographicLib: 38SMB4488 is 33.33424 44.40363 and 38n 444500 3688500 (the
# middle of its square); 38n 444140.54 3684706.36 is 33.3 44.4; 79.9S 6.1E is 32CMS4324728161 in its own zone
# and 31CEM6066227959 in the neighbouring one; 1S 3E is 31s 500000 9889470.
GEOCONVERT = {
    "38SMB4488": (33.33424, 44.40363),
    "38 north 444500 3688500": (33.33424, 44.40363),
    "38n 444140.54 3684706.36": (33.3, 44.4),
    "444140.54 3684706.36 38n": (33.3, 44.4),
    "32CMS4324728161": (-79.9, 6.1),
    "31CEM6066227959": (-79.9, 6.1),
    "31 south 500000 9889470": (-1.0, 3.0),
}
# FGDC-STD-011-2001, United States National Grid, 5.2.2: the Washington Monument, easting 323,483.168 and
# northing 4,306,479.498 in zone 18, is 18SUJ2348306479, truncated 18SUJ23480647, 18SUJ234064, 18SUJ2306,
# 18SUJ20.
MONUMENT = "18 north 323483.168 4306479.498"
TRUNCATED = {
    "18SUJ2348306479": 1,
    "18S UJ 23480647": 10,
    "18S UJ 234 064": 100,
    "18SUJ2306": 1_000,
}
# The same tower at 43.642567 N 79.387139 W is commonly published as 17T 630084 4833438.
TOWER = (43.642567, -79.387139)


@pytest.mark.parametrize(("text", "expected"), GEOCONVERT.items())
def test_examples_of_geoconvert(text, expected):
    place = parse_place(text)
    # Five decimals are a metre.
    assert distance_m(place, Place(expected[1], expected[0])) < 1.5


@pytest.mark.parametrize(("text", "square_m"), TRUNCATED.items())
def test_the_national_grid_s_monument_lies_in_each_square_named_for_it(text, square_m):
    exact, named = parse_place(MONUMENT), parse_place(text)
    # 38 53 22 N 77 02 07 W, in many places.
    assert distance_m(exact, Place(-(77 + 2 / 60 + 7 / 3600), 38 + 53 / 60 + 22 / 3600)) < 20
    assert distance_m(exact, named) <= square_m * 0.7072


@pytest.mark.parametrize("text", ["17T 630084 4833438", "4833438N 630084E 17T", "17 North E630084 N4833438"])
def test_a_well_known_tower(text):
    place = parse_place(text)
    assert distance_m(place, Place(TOWER[1], TOWER[0])) < 1.0


# Southern Norway and Svalbard have zones of their own widths (NGA.STND.0037; also in any table of UTM zones):
# Bergen at 5.3 E is in 32V, not 31V; at 78 N there is no zone 32.
def test_zones_of_norway_and_svalbard():
    bergen = parse_place("32V KN 97 00")
    assert (bergen.lat_deg, bergen.lon_deg) == pytest.approx((60.4, 5.3), abs=0.1)
    with pytest.raises(PlanError, match="no zone 32 in the band X"):
        parse_place("32X MH 12 34")


# Common practice knows two meanings: 5S is the band from 32 to 40 north, or the southern half of zone 5.
def test_a_letter_that_may_be_two_things_is_refused_with_both():
    with pytest.raises(PlanError, match="band of the north or the southern half") as caught:
        parse_place("4184567N 566543E 5S")
    said = caught.value.one_line()
    for word in ("5 north", "5 south"):
        told = parse_place(f"{word} 566543 4184567")
        assert f"{told.lat_deg:.4f} {told.lon_deg:.4f}" in said
    # No band S so far from the equator, and none north of the equator by N alone.
    assert parse_place("5S 566543 6184567").lat_deg < -34
    assert parse_place("5N 566543 4184567").lat_deg > 37


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4QFJ123", "as many figures"),
        ("4Q FJ 123 45", "as many figures"),
        ("4Q FJ 123456 123456", "as many figures"),
        ("4QFJ", "100 km only"),
        ("4Q FJ 1 6", "10 km only"),
        ("18SUJ20", "10 km only"),
        ("4QKJ1234", "no square KJ in zone 4"),
        ("4QFA1234", "not in 4Q"),
        ("61QFJ1234", "no zone 61"),
        ("0Q FJ 1234", "no zone 0"),
        ("4I FJ 1234", "no band"),
        ("ZAF0193788990", "poles"),
        ("17M 630084 4833438", "does not lie in the band M"),
        ("17 north 999999 4833438", "far outside zone 17"),
        ("17 north 63008 4833438", "outside the UTM grid"),
        ("17 north 630084 9900000", "outside the UTM grid"),
        ("17 south 630084 100000", "outside the UTM grid"),
        ("17 north 630084E 4833438E", "told apart"),
        ("17O 630084 4833438", "no band"),
    ],
)
def test_what_names_no_place_is_said(text, said):
    with pytest.raises(PlanError, match=said):
        parse_place(text)


def test_other_forms_are_left_to_other_readers():
    for text in ("37N 150W", "37 48 43 N 150 14 38 W", "374843N1501438W", "37.8 -150.2", "N37 W150"):
        assert mgrs(text) is None
        assert utm(text) is None


@pytest.mark.parametrize("text", ["5SQB4260988546", "5 north 742609 4188546", "4188546N 742609E 5 north"])
def test_the_manual_s_own_examples_are_one_place(text):
    assert distance_m(parse_place(text), parse_place("37.8121 -150.2440")) < 2.0
