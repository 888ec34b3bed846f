"""What is drawn beneath stands on the map of the paper: where it is, what it is, and what its pattern means.

Issue 6: the observer keeps people, the closed road and the spectators' line in mind. GeographicLib (Karney
2013) says where things are.
"""

import re
import xml.etree.ElementTree as ElementTree

import attrs
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.briefing.front_page import front_page
from planner.drawing.map_beneath import Look, beneath_keys, draw_beneath, look_of
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_sketch import map_sketch
from planner.geo.place import Place
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Plan
from tests.briefing import made

HERE = Place(-150.2, 37.8)
SIDE = 290.0
SHEET = MapSheet.around([HERE, Place(-150.19, 37.81)], SIDE, SIDE)


def there(azimuth_deg, away_m):
    found = Geodesic.WGS84.Direct(HERE.lat_deg, HERE.lon_deg, azimuth_deg, away_m)
    return Place(found["lon2"], found["lat2"])


def spot(kind, place=HERE, **said):
    return BeneathItem(kind, DrawnAs.SPOT, (place,), **said)


def outline(drawn):
    data = re.search(r' d="([^"]*)"', drawn)[1]
    return shapely.Polygon([tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+) (-?[\d.]+)", data)])


def test_it_lies_where_it_is_and_is_as_wide():
    place = there(40.0, 300.0)
    road = BeneathItem(
        BeneathKind.ROAD, DrawnAs.LINE, (HERE, place), half_width_m=30.0, moving_vehicles=False
    )
    drawn, _ = draw_beneath(Plan(beneath=(road,)), SHEET)
    shape = outline(drawn)
    ends = [SHEET.of_place(one) for one in (HERE, place)]
    line = shapely.LineString(ends)
    assert line.length == pytest.approx(300.0 * SHEET.points_per_m, rel=1e-3)
    assert shape.contains(line)
    assert shape.area == pytest.approx(line.buffer(30.0 * SHEET.points_per_m).area, rel=0.02)


def test_what_is_small_can_be_seen_and_what_is_off_the_sheet_is_not_drawn():
    drawn, labels = draw_beneath(Plan(beneath=(spot(BeneathKind.PEOPLE),)), SHEET)
    x, y = SHEET.of_place(HERE)
    shape = outline(drawn)
    assert shape.centroid.distance(shapely.Point(x, y)) < 0.1
    assert shape.area > 15.0
    assert [label.text for label in labels] == ["people"]
    assert draw_beneath(Plan(beneath=(spot(BeneathKind.PEOPLE, there(90.0, 90_000.0)),)), SHEET) == ("", ())


@pytest.mark.parametrize(
    ("item", "look", "words"),
    [
        (spot(BeneathKind.GATHERING, name="Market"), Look.PEOPLE, "Market: gathering"),
        (spot(BeneathKind.SPECTATOR_LINE), Look.PEOPLE, "spectators"),
        (spot(BeneathKind.SUBJECT, name="Ash"), Look.PEOPLE, "Ash: subject"),
        (spot(BeneathKind.PEOPLE, under_cover=True), Look.PEOPLE, "people: under cover"),
        (spot(BeneathKind.ROAD, moving_vehicles=True), Look.PEOPLE, "road: vehicles move"),
        (
            spot(BeneathKind.ROAD, name="Cliff road", moving_vehicles=False, closed_site=True),
            Look.WAY,
            "Cliff road: no vehicle moves, closed",
        ),
        (spot(BeneathKind.ROAD), Look.WAY, "road: vehicles may move"),
        (spot(BeneathKind.TRAIL), Look.WAY, "trail"),
        (spot(BeneathKind.CREW), Look.CREW, "crew"),
        (spot(BeneathKind.BUILDING, name="Hall"), Look.BUILDING, "Hall: building"),
        (spot(BeneathKind.TREES), Look.TREES, "trees"),
        (spot(BeneathKind.WATER), Look.WATER, "water"),
    ],
)
def test_each_is_told_and_has_its_pattern(item, look, words):
    assert look_of(item) is look
    _, (label,) = draw_beneath(Plan(beneath=(item,)), SHEET)
    assert label.text == words
    ((key, meaning),) = beneath_keys([item])
    assert meaning == look.value
    assert ElementTree.fromstring(key).tag.endswith("svg")


def test_each_pattern_is_another_in_grey_print():
    """Told apart by line, dashes or fill, not by colour alone (common practice of maps in grey)."""
    keys = dict(beneath_keys([spot(kind) for kind in BeneathKind]))
    seen = {re.sub(r'stroke="[^"]*"| d="[^"]*"', "", key) for key in keys}
    assert len(seen) == len(keys) == len(Look)


def test_map_and_legend_of_the_sheet_have_it():
    answer = made.assessment()
    place = answer.plan.path[0].place
    plan = attrs.evolve(answer.plan, beneath=(spot(BeneathKind.GATHERING, place, name="Fair"),))
    shown = attrs.evolve(answer, plan=plan)
    root = ElementTree.fromstring(map_sketch(shown, SIDE, SIDE))
    told = ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any(text.startswith("Fair") for text in told)
    assert Look.PEOPLE.value in [one["words"] for one in front_page(shown)["legend"]]
    assert Look.PEOPLE.value not in [one["words"] for one in front_page(answer)["legend"]]
