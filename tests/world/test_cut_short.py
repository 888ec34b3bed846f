"""What a map service says of its own answer: cut off at its limit, or an error; never read as a whole layer.

How a service says so (`exceededTransferLimit` at the top or in the properties of a GeoJSON answer, an `error`
object in place of one) is common practice, from memory.
"""

import json
import zipfile

import pytest

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers import cut_short
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.cut_short_xml import fault_of_xml
from planner.world.readers.recognise import recognise
from planner.world.store.adding import Statement, add_files
from tests.world.chart_files import CLASS_D, feature, island_copy, write_geojson

ERROR = {"code": 400, "message": "Invalid query", "details": []}
ASK_AGAIN = "more features than it gives at once"


@pytest.fixture(params=["recognise", "read", "add"])
def taken(request, tmp_path):
    """Each way in which a file is taken."""
    return {
        "recognise": recognise,
        "read": read_chart_file,
        "add": lambda path: add_files(island_copy(tmp_path), [path], Statement()),
    }[request.param]


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ({"exceededTransferLimit": True}, ASK_AGAIN),
        ({"properties": {"exceededTransferLimit": True}}, ASK_AGAIN),
        ({"error": ERROR}, "an error that a service answered with"),
        # OGC API - Features, part 1, 7.15 (from memory): how many match, and a link to the next page.
        ({"numberMatched": 400, "numberReturned": 1}, "400 match, 1 are in it"),
        ({"totalFeatures": 2}, "2 match, 1 are in it"),
        ({"links": [{"rel": "next", "href": "next"}]}, "a link to the next page"),
        ({"links": [{"rel": ["next"], "href": "next"}]}, "a link to the next page"),
        ({"next": "https://charts.example/?page=2"}, "a link to the next page"),
        # The last page of several: link relations registered under RFC 8288 (from memory).
        ({"links": [{"rel": "prev", "href": "before"}]}, "a link to the page before"),
        ({"links": [{"rel": "previous", "href": "before"}]}, "a link to the page before"),
        ({"next": None, "previous": "https://charts.example/?page=1"}, "a link to the page before"),
        ({"context": {"returned": 1, "matched": 400}}, "400 match, 1 are in it"),
    ],
)
def test_a_part_of_a_layer_is_refused_in_one_line(tmp_path, taken, members, words):
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), **members)
    with pytest.raises(ChartError, match=words) as found:
        taken(path)
    assert "\n" not in str(found.value)
    assert "a.geojson" in str(found.value)


def test_an_error_alone_is_told_as_one(tmp_path, taken):
    path = tmp_path / "a.json"
    path.write_text(json.dumps({"error": ERROR}))
    with pytest.raises(ChartError, match="an error that a service answered with"):
        taken(path)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_however_it_is_written(tmp_path, encoding):
    path = tmp_path / "a.json"
    path.write_text('{ "exceededTransferLimit" :\n true, "features": []}', encoding)
    with pytest.raises(ChartError, match=ASK_AGAIN):
        recognise(path)


@pytest.mark.parametrize("piece", [40, 64, 1_000])
def test_wherever_in_a_long_file_it_stands(tmp_path, piece, monkeypatch):
    monkeypatch.setattr(cut_short, "_PIECE_BYTES", piece)
    features = [feature(**CLASS_D)] * 40
    for padding in range(0, piece, 7):
        path = write_geojson(tmp_path / "a.json", *features, x="." * padding, exceededTransferLimit=True)
        with pytest.raises(ChartError, match=ASK_AGAIN):
            recognise(path)


def test_in_an_archive_too(tmp_path, taken):
    inside = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), exceededTransferLimit=True)
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.write(inside, "a.geojson")
    with pytest.raises(ChartError, match=ASK_AGAIN):
        taken(path)


@pytest.mark.parametrize(
    ("attributes", "members"),
    [
        ({}, {"exceededTransferLimit": False}),
        ({}, {"properties": {"exceededTransferLimit": False}}),
        ({"ERROR": "none"}, {"error": None}),
        ({}, {"numberMatched": 1, "numberReturned": 1, "links": [{"rel": "self", "href": "here"}]}),
        ({"NOTE": "next"}, {"totalFeatures": 1}),
        ({"NOTE": "exceededTransferLimit: true"}, {}),
        ({"next": "see notes", "matched": 400}, {"next": None, "context": {"matched": 1}}),
        ({"previous": "see notes"}, {"previous": None, "prev": ""}),
    ],
)
def test_what_does_not_say_so_is_taken(tmp_path, attributes, members):
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D, **attributes), **members)
    assert recognise(path).layers == (LayerName.CLASS_AIRSPACE,)
    (part,) = read_chart_file(path)
    assert part.table.total == 1


RING = "-84.3,36.2 -84.2,36.2 -84.2,36.3 -84.3,36.3 -84.3,36.2"
POSITIONS = "36.2 -84.3 36.2 -84.2 36.3 -84.2 36.3 -84.3 36.2 -84.3"
INSIDE = "{}"
KML = (
    '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>X</name>'
    "<ExtendedData>"
    + "".join(f'<Data name="{name}"><value>{value}</value></Data>' for name, value in CLASS_D.items())
    + f"</ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>{RING}</coordinates></LinearRing>"
    f"</outerBoundaryIs></Polygon></Placemark>{INSIDE}</Document></kml>"
)
GML = (
    '<?xml version="1.0"?><wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0" '
    'xmlns:gml="http://www.opengis.net/gml/3.2" xmlns:a="http://charts.example" '
    'timeStamp="2026-10-29T00:00:00Z"COUNTED>'
    '<wfs:member><a:airspace gml:id="c.1">'
    + "".join(f"<a:{name}>{value}</a:{name}>" for name, value in CLASS_D.items())
    + '<a:geom><gml:Polygon srsName="EPSG:4326"><gml:exterior><gml:LinearRing>'
    f"<gml:posList>{POSITIONS}</gml:posList></gml:LinearRing></gml:exterior></gml:Polygon></a:geom></a:airspace>"
    f"</wfs:member>{INSIDE}</wfs:FeatureCollection>"
)
# How a service of features pages its answers: OGC 09-025r2, 7.7.4 (from memory).
PAGES = [
    (' numberMatched="400" numberReturned="1"', "", "400 match, 1 are in it"),
    (" numberReturned='1'\n numberMatched='400'", "", "400 match, 1 are in it"),
    (
        ' numberMatched="unknown" numberReturned="1" next="https://charts.example/2"',
        "",
        "a link to the next page",
    ),
    (' numberMatched="1" previous="https://charts.example/1"', "", "a link to the page before"),
    # However many are said to be returned, what is not in the file is missing.
    (' numberMatched="400"', "", "400 match, 1 are in it"),
    (' numberMatched="400" numberReturned="400"', "", "400 match, 1 are in it"),
    (' numberMatched="2"', '<wfs:member xlink:href="#c.1"/>', "2 match, 1 are in it"),
    (' note="a>b" numberMatched="400" numberReturned="1"', "", "400 match, 1 are in it"),
    (f' x="{"y" * 5_000}" numberMatched="400" numberReturned="1"', "", "400 match, 1 are in it"),
    ("", "<wfs:truncatedResponse/>", "truncatedResponse"),
    (
        "",
        "<ows:ExceptionReport version='2.0.0'></ows:ExceptionReport>",
        "an error that a service answered with",
    ),
]


@pytest.mark.parametrize("ending", ["gml", "xml"])
@pytest.mark.parametrize(("counted", "inside", "words"), PAGES)
def test_a_page_of_a_layer_in_gml_is_refused(tmp_path, taken, ending, counted, inside, words):
    path = tmp_path / f"a.{ending}"
    path.write_text(GML.replace("COUNTED", counted).replace(INSIDE, inside))
    with pytest.raises(ChartError, match=words) as found:
        taken(path)
    assert "\n" not in str(found.value)


@pytest.mark.parametrize(
    "inside",
    [
        "<NetworkLink><Link><href>more.kml</href></Link></NetworkLink>",
        '<k-1:NetworkLink xmlns:k-1="http://www.opengis.net/kml/2.2"/>',
        "<!-- here --><NetworkLink/><!-- there -->",
    ],
)
@pytest.mark.parametrize("packed", [False, True])
def test_kml_that_points_to_more_elsewhere_is_refused(tmp_path, taken, inside, packed):
    """What lies behind such a link is not in the file (OGC 12-007r2, 13.1, from memory)."""
    path = tmp_path / "a.kml"
    path.write_text(KML.replace(INSIDE, inside))
    if packed:
        path = tmp_path / "a.kmz"
        with zipfile.ZipFile(path, "w") as archive:
            archive.write(tmp_path / "a.kml", "doc.kml")
    with pytest.raises(ChartError, match="points to more of it elsewhere"):
        taken(path)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.gml", GML.replace("COUNTED", ' numberMatched="1" numberReturned="1"').replace(INSIDE, "")),
        (
            "b.gml",
            GML.replace("COUNTED", ' numberMatched="unknown" numberReturned="1" next=""').replace(INSIDE, ""),
        ),
        ("a.kml", KML.replace(INSIDE, "<!-- NetworkLink --><description><![CDATA[x]]></description>")),
        ("c.kml", KML.replace(INSIDE, "<!-- once a <NetworkLink> -->")),
        ("d.kml", KML.replace(INSIDE, "<description><![CDATA[see <NetworkLink> elsewhere]]></description>")),
        ("c.gml", GML.replace("COUNTED", ' numberMatched="1" previous=""').replace(INSIDE, "")),
        (
            "d.gml",
            GML.replace("COUNTED", ' numberMatched="1"')
            .replace(INSIDE, "<!-- <wfs:member><a:airspace/></wfs:member> -->")
            .replace("wfs:member", "gml:featureMembers"),
        ),
        ("b.kml", KML.replace(INSIDE, "").replace("<Document>", "<NetworkLinkControl/><Document>")),
    ],
)
def test_a_whole_layer_in_gml_or_kml_is_taken(tmp_path, name, text):
    path = tmp_path / name
    path.write_text(text)
    (part,) = read_chart_file(path)
    assert part.table.total == 1


def test_collections_within_a_collection_count_together(tmp_path):
    """An answer to two questions holds an answer to each (OGC 09-025r2, 7.7.4.2, from memory)."""
    inner = GML[GML.index("<wfs:member>") :].replace(INSIDE, "").replace("</wfs:FeatureCollection>", "")
    head = GML[: GML.index("<wfs:member>")]
    member = '<wfs:member><wfs:FeatureCollection numberMatched="{}">{}</wfs:FeatureCollection></wfs:member>'
    for each, all_of_it, whole in ((1, 2, True), (2, 2, False), (1, 3, False)):
        text = head.replace("COUNTED", f' numberMatched="{all_of_it}" numberReturned="{all_of_it}"')
        text += member.format(each, inner) + member.format(1, inner.replace("c.1", "c.2"))
        fault = fault_of_xml([text.encode(), b"</wfs:FeatureCollection>"])
        assert (fault is None) == whole, (each, all_of_it)


@pytest.mark.parametrize("last", ["</wfs:member>", "<gml:posList>36.2", "</wfs:FeatureColl"])
def test_gml_that_breaks_off_is_refused_and_not_read_as_nothing(tmp_path, taken, last):
    """A load that was cut off: what reads GML takes it without a word, and without what came."""
    path = tmp_path / "a.gml"
    whole = GML.replace("COUNTED", "").replace(INSIDE, "")
    path.write_text(whole[: whole.index(last) + len(last)])
    with pytest.raises(ChartError, match="is not whole: it breaks off or is damaged at line 1") as found:
        taken(path)
    assert "\n" not in str(found.value)


@pytest.mark.parametrize("piece", [7, 64, 1_000])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_xml_in_whatever_pieces_and_letters(tmp_path, piece, encoding, monkeypatch):
    monkeypatch.setattr(cut_short, "_PIECE_BYTES", piece)
    path = tmp_path / "a.gml"
    for matched, whole in (("1", True), ("2", False)):
        text = GML.replace("COUNTED", f' numberMatched="{matched}"').replace(INSIDE, "")
        path.write_text(
            text.replace('"1.0"?', f'"1.0" encoding="{encoding.removesuffix("-sig")}"?'), encoding
        )
        if whole:
            cut_short.refuse_cut_short(path)
            continue
        with pytest.raises(ChartError, match="2 match, 1 are in it"):
            cut_short.refuse_cut_short(path)


@pytest.mark.parametrize("coding", ["iTF-8", "no-such-coding", "shift_jis", "utf-7"])
def test_a_coding_of_letters_that_nobody_can_read_is_told_in_one_line(tmp_path, taken, coding):
    path = tmp_path / "layer.kml"
    kml = '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>INVENTED</name></Document></kml>'
    path.write_text(f'<?xml version="1.0" encoding="{coding}"?>\n{kml}')
    with pytest.raises(ChartError) as refused:
        taken(path)
    line = refused.value.one_line()
    assert "layer.kml" in line
    assert "coding of its letters" in line
    assert "\n" not in line
