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
    ],
)
def test_what_does_not_say_so_is_taken(tmp_path, attributes, members):
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D, **attributes), **members)
    assert recognise(path).layers == (LayerName.CLASS_AIRSPACE,)
    (part,) = read_chart_file(path)
    assert part.table.total == 1
