"""Positions as typed. 374843N is 37 degrees, 48 minutes, 43 seconds north: common practice in notices."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.desk.position_forms import READERS, READERS_OF_FIGURES
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
        "37,8119444; -150,2438889",
        "37,8119444 -150,2438889",
        "W150 14 38, N37 48 43",
        "150°14'38\" W 37°48'43\" N",
        "1501438W374843N",
        "37 48 43, -150 14 38",
        "37 48 43 -150 14 38",
        "+37 48.7166667; -150 14.6333333",
        "37d48'43\"N 150d14'38\"W",
        "37 deg 48.7166667 N, 150 deg 14.6333333 W",
        "lat 37.8119444 lon -150.2438889",
        "Lon: -150.2438889, Lat: 37.8119444",
        "longitude=150 14 38 W latitude=37 48 43 N",
        "lat N37.8119444 lng W150.2438889",
        "lon/lat: -150.2438889, 37.8119444",
        "lat, lon = 37.8119444 -150.2438889",
        "geo:37.8119444,-150.2438889",
        "GEO:37.8119444,-150.2438889;u=35",
        "geo:37.8119444,-150.2438889,120;crs=wgs84;u=4?label=x",
        "[-150.2438889, 37.8119444]",
        "[-150.2438889,37.8119444,30.5]",
        '{"type": "Point", "coordinates": [-150.2438889, 37.8119444]}',
        '{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-150.2438889,37.8119444]}}',
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
        "37.5 30 N 150 W",
        "geo:37.8",
        "geo:91,0",
        "geo:37.8,-150.2;crs=nad83",
        "geo:37.8,here",
        "[-150.2]",
        "[[-150.2, 37.8], [-150.3, 37.9]]",
        "[37.8, -150.2]",
        "[-150.2, 37.8",
        '{"type": "Point"}',
        '{"coordinates": {"a": 1}, "type": "Point"}',
        "[true, false]",
        "[1e999, 0]",
        "lat 37 lat 38",
        "lat 150 W lon 37 N",
        "lat lon",
        "lon-lat: here, there",
        "N37 48 43 N150 14 38",
        "1 2 3",
        "1 2 3 4 5",
        "1.5 2 3 4.5",
        "[" * 5_000,
        "9" * 5_000,
        "1 " * 150,
    ],
)
def test_what_is_no_place_is_said(text):
    with pytest.raises(PlanError) as caught:
        parse_place(text)
    said = caught.value.one_line()
    assert "\n" not in said
    assert len(said) < 250


@given(st.text(max_size=80) | st.text("0123456789.,;:-+ NSEWnsew°'\"[]{}latongeo", max_size=60))
def test_whatever_is_typed_is_a_place_or_one_line(text):
    for read in (parse_place, parse_corners):
        with contextlib.suppress(PlanError):
            assert isinstance(read(text), Place | tuple)
            continue
        with pytest.raises(PlanError) as caught:
            read(text)
        said = caught.value.one_line()
        assert said
        assert "\n" not in said


def sexagesimal(deg, seconds):
    """Write an angle as degrees, minutes and, if asked, seconds: by whole numbers, unlike the reader."""
    if seconds:
        whole = round(abs(deg) * 3600 * 1000)
        d, rest = divmod(whole, 3600 * 1000)
        m, s = divmod(rest, 60 * 1000)
        return f"{d}", f"{m:02d}", f"{s // 1000:02d}.{s % 1000:03d}"
    whole = round(abs(deg) * 60 * 100_000)
    d, m = divmod(whole, 60 * 100_000)
    return f"{d}", f"{m // 100_000:02d}.{m % 100_000:05d}"


WAYS = (
    lambda lat, lon, ns, ew: f"{' '.join(lat)} {ns} {' '.join(lon)} {ew}",
    lambda lat, lon, ns, ew: f"{ns}{' '.join(lat)}, {ew}{' '.join(lon)}",
    lambda lat, lon, ns, ew: f"{ew}{':'.join(lon)} {ns}{':'.join(lat)}",
    lambda lat, lon, ns, ew: f"{'°'.join(lat)}'{ns} {'°'.join(lon)}'{ew}",
    lambda lat, lon, ns, ew: f"{'-' * (ns == 'S')}{' '.join(lat)}, {'-' * (ew == 'W')}{' '.join(lon)}",
    lambda lat, lon, ns, ew: f"lon {' '.join(lon)} {ew}; lat {' '.join(lat)} {ns}",
)


@given(st.floats(-89.9, 89.9), st.floats(-179.9, 179.9), st.sampled_from(WAYS), st.booleans())
def test_every_way_with_minutes_reads_back(lat_deg, lon_deg, way, seconds):
    text = way(
        sexagesimal(lat_deg, seconds),
        sexagesimal(lon_deg, seconds),
        "S" if lat_deg < 0 else "N",
        "W" if lon_deg < 0 else "E",
    )
    back = parse_place(text)
    assert (back.lat_deg, back.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=2e-6)


DECIMAL_WAYS = (
    "{lat:.7f}, {lon:.7f}",
    "{lat:+.7f} {lon:+.7f}",
    "geo:{lat:.7f},{lon:.7f}",
    "[{lon:.7f}, {lat:.7f}]",
    "lat {lat:.7f} lon {lon:.7f}",
    "lon-lat: {lon:.7f} {lat:.7f}",
    '{{"type": "Point", "coordinates": [{lon:.7f}, {lat:.7f}]}}',
)


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from(DECIMAL_WAYS))
def test_every_way_with_decimals_reads_back(lat_deg, lon_deg, way):
    back = parse_place(way.format(lat=lat_deg, lon=lon_deg))
    assert (back.lat_deg, back.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=1e-7)


def test_a_piece_of_geojson_is_read_whole():
    """RFC 7946, 3.1.1: longitude first; 3.1.6: a ring ends where it began."""
    ring = "[[-150, 37], [-150, 38], [-151, 38], [-150, 37]]"
    for text in (ring, f'{{"type": "Polygon", "coordinates": [{ring}]}}'):
        assert [(place.lon_deg, place.lat_deg) for place in parse_corners(text)] == [
            (-150, 37),
            (-150, 38),
            (-151, 38),
        ]
    with pytest.raises(PlanError):
        parse_corners(f'{{"type": "Polygon", "coordinates": [{ring}, {ring}]}}')


def test_parameters_of_a_geo_uri_do_not_part_corners():
    places = parse_corners("geo:37,-150;u=5; geo:38,-150;crs=wgs84\n38 -151")
    assert [place.lat_deg for place in places] == [37, 38, 38]


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_what_is_written_is_read_again(lat_deg, lon_deg):
    back = parse_place(place_text(Place(lon_deg, lat_deg)))
    assert (back.lat_deg, back.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=1e-6)


def test_corners_are_parted_by_semicolons_or_lines():
    places = parse_corners("37 -150; 38 -150\n38 -151;")
    assert [place.lat_deg for place in places] == [37, 38, 38]
    assert len(parse_corners("37 -150; 38 -150; 38 -151; 37 -150")) == 3


@pytest.mark.parametrize(
    "link",
    [
        "https://maps.invalid/place/@37.8119444,-150.2438889,15z",
        "https://maps.invalid/?q=37.8119444,-150.2438889",
        "https://maps.invalid/?q=37.8119444%2C-150.2438889&zoom=14",
        "http://maps.invalid/look?lon=-150.2438889&lat=37.8119444",
        "https://maps.invalid/#map=15/37.8119444/-150.2438889",
        "www.maps.invalid/?ll=37.8119444,+-150.2438889",
        "https://maps.invalid/?ll=37.8119444,-150.2438889&q=37.8119444,-150.2438889&size=640,480&z=14",
    ],
)
def test_a_link_that_holds_one_position(link):
    """No standard rules such links: latitude first as elsewhere, each by its name, or zoom before both."""
    place = parse_place(link)
    assert (place.lat_deg, place.lon_deg) == pytest.approx(SEATTLE_LIKE, abs=1e-6)


@pytest.mark.parametrize(
    ("link", "said"),
    [
        ("https://maps.invalid/abc", "no link is opened"),
        ("https://maps.invalid/@37.81,-150.24/to/37.90,-150.30", "more than one position"),
        ("https://maps.invalid/@37.8119,-150.2438,15z/pin=!3d37.9011!4d-150.3002", "more than one position"),
        ("https://maps.invalid/?bbox=-150.25,37.75,-150.15,37.85", "more than one position"),
        ("https://maps.invalid/?ll=37.8121,-150.2440&q=38.1,-150.9", "more than one position"),
        ("https://maps.invalid/?q=38.1,-150.9&ll=37.8121,-150.2440", "more than one position"),
        ("https://maps.invalid/?ll=37.8121,-150.2440&to=38%2C+-151", "more than one position"),
        ("https://maps.invalid/way/37.8121,-150.2440/38.1,-150.9", "more than one position"),
        ("https://maps.invalid/?lat=37.8121&lon=-150.2440&q=38.1,-150.9", "more than one position"),
        ("https://maps.invalid/?center=-150.2438889,37.8119444", "the wrong way round"),
    ],
)
def test_a_link_that_may_mean_several_is_refused(link, said):
    with pytest.raises(PlanError, match=said):
        parse_place(link)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("-150.2440 37.8121", "37.812100 -150.244000"),
        ("-150 14 38.4, 37 48 43.56", "37.812100 -150.244000"),
        ("[37.8121, -150.2440]", "[-150.244, 37.8121]"),
    ],
)
def test_figures_the_wrong_way_round_are_told_and_not_turned(text, said):
    with pytest.raises(PlanError, match="the wrong way round") as caught:
        parse_place(text)
    assert said in caught.value.remedy


def read_by(readers, text):
    try:
        return next((found for read in readers if (found := read(text)) is not None), None)
    except PlanError as error:
        return str(error)


@given(st.text("0123456789.,;:-+/°'\"\u2032\u2033 ", max_size=40))
def test_what_has_neither_letters_nor_brackets_is_read_by_those_of_figures_as_by_all(text):
    assert read_by(READERS_OF_FIGURES, text) == read_by(READERS, text)


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from((" ", ", ", ",", "; ", "\t")))
def test_any_decimal_degrees_are_read_as_they_stand(lat_deg, lon_deg, between):
    assert parse_place(f"{lat_deg:.7f}{between}{lon_deg:.7f}") == Place(
        float(f"{lon_deg:.7f}"), float(f"{lat_deg:.7f}")
    )
