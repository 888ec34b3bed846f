"""The map sketch: true in scale and direction, whole in words."""

import gc
import math
import re
import xml.etree.ElementTree as ElementTree
from datetime import UTC, datetime
from weakref import ref

import attrs
import pytest
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.chart_folders import known_chart_sets
from planner.drawing.map_chart import draw_chart
from planner.drawing.map_scale import norths_place, scale_place
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_sketch import map_sketch
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.crew import CrewMember, Role
from planner.plan.file import read_plan
from planner.plan.geometry import PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from planner.world.sites import Stadium
from planner.world.world import World
from tests.briefing import made
from tests.briefing.made_world import place

SVG = "{http://www.w3.org/2000/svg}"
SIDE = 290.0


def parsed(answer):
    return ElementTree.fromstring(map_sketch(answer, SIDE, SIDE))


def words(root):
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def test_sheet_keeps_distance_and_true_direction():
    # GeographicLib (Karney 2013), an implementation that is not the one under test.
    start = Place(-150.2, 37.8)
    sheet = MapSheet.around([start, Place(-150.17, 37.82)], SIDE, SIDE)
    for azimuth_deg in range(0, 360, 30):
        end = Geodesic.WGS84.Direct(start.lat_deg, start.lon_deg, azimuth_deg, 1000.0)
        x0, y0 = sheet.of_place(start)
        x1, y1 = sheet.of_place(Place(end["lon2"], end["lat2"]))
        assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(1000.0 * sheet.points_per_m, rel=1e-4)
        drawn_deg = math.degrees(math.atan2(x1 - x0, y0 - y1)) % 360
        assert abs((drawn_deg - azimuth_deg + 180) % 360 - 180) < 0.05


def test_a_stadium_is_marked_and_named():
    here = Place(-150.2, 37.8)
    sheet = MapSheet.around([here, Place(-150.19, 37.81)], SIDE, SIDE)
    chart = draw_chart(World(stadiums=(Stadium("INVENTED BOWL", here),)), sheet)
    assert [label.text for label in chart.labels] == ["INVENTED BOWL (stadium)"]
    assert "<ellipse" in chart.marks
    assert chart.mark_points == (sheet.of_place(here),)
    far = World(stadiums=(Stadium("FAR BOWL", Place(-150.1, 37.8)),))
    assert draw_chart(far, sheet).labels == ()


def test_scale_bar_says_its_length_in_both_units():
    root = parsed(made.assessment())
    sheet = MapSheet.around(made.plan().places(), SIDE, SIDE)
    paths = [path.get("d") for path in root.iter(f"{SVG}path")]
    bars = {}
    for data in paths:
        points = re.findall(r"([-\d.]+) ([-\d.]+)", data or "")
        # Two upright ticks and the bar between them.
        if len(points) == 4 and points[0][0] == points[1][0] and points[2][0] == points[3][0]:
            bars[float(points[0][1]) < float(points[1][1])] = float(points[2][0]) - float(points[0][0])
    said = dict(reversed(word.split()) for word in words(root) if re.fullmatch(r"[\d,]+ (m|ft)", word))
    assert bars[True] == pytest.approx(float(said["m"].replace(",", "")) * sheet.points_per_m, abs=0.02)
    assert bars[False] == pytest.approx(
        float(said["ft"].replace(",", "")) * 0.3048 * sheet.points_per_m, abs=0.02
    )


@pytest.mark.parametrize(("east", "north"), [(-1, -1), (-1, 1), (1, -1), (1, 1), (0, 1)])
def test_scale_and_norths_stand_in_corners_where_they_hide_no_sign_of_the_flight(east, north):
    """Our own rule (issue 8: nothing crowded): the launch in a corner of the map stays to be seen."""
    middle = Place(-150.2, 37.8)
    launch = Place(middle.lon_deg + 0.01 * east, middle.lat_deg + 0.008 * north)
    path = tuple(PathPoint(spot, AboveGround(30.0)) for spot in (middle, Place(-150.199, 37.801)))
    plan = Plan(path=path, launch=GroundSpot(launch, LandStatus.PUBLIC))
    around = [Place(-150.2 + 0.01 * one, 37.8 + 0.008 * two) for one in (-1, 1) for two in (-1, 1)]
    sheet = MapSheet.around(around, SIDE, SIDE)
    norths = norths_place(sheet, plan)
    x, y = sheet.of_place(launch)
    assert norths.box[:2] == ((0.0, 0.0) if (east, north) == (1, 1) else (SIDE - 50.0, 0.0))
    for stands in (norths, scale_place(sheet, plan, 0.3 * SIDE, norths.box)):
        left, top, right, bottom = stands.box
        assert not (left - 9 < x < right + 9 and top - 9 < y < bottom + 9)
        assert left < stands.x < right
        assert top < stands.y < bottom
    assert (left == 0.0 and bottom == SIDE) is ((east, north) != (-1, -1))


def test_the_scale_leaves_the_corner_of_the_norths():
    """Our own rule: with signs in all corners but one the norths take that, and the scale goes elsewhere."""
    corners = [Place(-150.2 + 0.01 * one, 37.8 + 0.008 * two) for one in (-1, 1) for two in (-1, 1)]
    sheet = MapSheet.around(corners, SIDE, SIDE)
    path = tuple(PathPoint(spot, AboveGround(30.0)) for spot in (corners[3], corners[1], corners[2]))
    norths = norths_place(sheet, Plan(path=path))
    assert norths.box[:2] == (0.0, SIDE - 62.0)
    left, top, _right, _bottom = scale_place(sheet, Plan(path=path), 0.3 * SIDE, norths.box).box
    assert (left, top) != (0.0, SIDE - 28.0)


def test_places_of_the_plan_lie_on_the_sheet():
    plan = made.plan()
    sheet = MapSheet.around(plan.places(), SIDE, SIDE)
    assert all(sheet.shows(sheet.of_place(spot), 10.0) for spot in plan.places())


def test_the_ground_of_a_closed_flight_does_not_stay_with_its_picture():
    """Our own bound (issue 8, a day's use): a country's ground can be hundreds of MB."""
    answer = made.assessment(Verdict.READY)
    ground = attrs.evolve(answer.world.terrain)
    answer = attrs.evolve(answer, world=attrs.evolve(answer.world, terrain=ground))
    assert "data:image/png" in map_sketch(answer, SIDE, SIDE)
    left = ref(ground)
    del answer, ground
    gc.collect()
    assert left() is None


def test_words_name_what_matters_first():
    told = words(parsed(made.assessment(Verdict.MUST_CHANGE)))
    assert any("D. Invented" in word for word in told)
    assert any(word.startswith("C. Invented") for word in told)
    assert any("Class D · surface to 2,500 ft" in word for word in told)
    assert any("prohibited" in word for word in told)
    assert any("Invented mast 1,312 ft AMSL" in word for word in told)
    assert "N" in told


def test_class_d_is_dashed_and_class_c_solid():
    # FAA Aeronautical Chart Users' Guide, sectional charts. Standing B.
    from planner.drawing.chart_lines import line_style
    from planner.world.airspace import AirspaceKind

    styles = {kind: line_style(kind) for kind in AirspaceKind}
    blue, magenta = styles[AirspaceKind.CLASS_B].colour, styles[AirspaceKind.CLASS_C].colour
    assert styles[AirspaceKind.CLASS_B].dashes is None
    assert styles[AirspaceKind.CLASS_C].dashes is None
    assert styles[AirspaceKind.CLASS_D].dashes
    assert styles[AirspaceKind.CLASS_D].colour == blue
    assert styles[AirspaceKind.CLASS_E2].dashes
    assert styles[AirspaceKind.CLASS_E2].colour == magenta
    # Colour alone tells no two of them apart.
    shapes = [
        (styles[kind].width, styles[kind].dashes, styles[kind].strokes)
        for kind in (AirspaceKind.CLASS_B, AirspaceKind.CLASS_C, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2)
    ]
    assert len(set(shapes)) == 4


@pytest.mark.parametrize("name", ["<script>\"&'", "]]>", "a\x00b\x1bc", "\ud800", "山 🚁", "‮abc"])
def test_no_name_breaks_the_picture(name):
    crew = (
        CrewMember("one", Role.OBSERVER, name, place(0, 0)),
        CrewMember("two", Role.OBSERVER, "x", place(400, 0)),
    )
    root = parsed(made.assessment(made=made.plan(crew=crew)))
    assert root.tag == f"{SVG}svg"


@pytest.mark.parametrize(
    "plan", [Plan(), Plan(path=made.plan().path[:1]), made.plan(path=()), made.plan(area=None, crew=())]
)
@pytest.mark.parametrize("around", [None, World()])
def test_plans_in_the_making_are_drawn_as_far_as_they_go(plan, around):
    answer = made.assessment(Verdict.UNDETERMINED, plan, **({"world": around} if around else {}))
    drawn = map_sketch(answer, SIDE, SIDE)
    assert drawn == "" if not plan.places() else ElementTree.fromstring(drawn).tag == f"{SVG}svg"


def test_the_order_of_features_does_not_change_the_picture():
    answer = made.assessment()
    turned = attrs.evolve(
        answer.world,
        airspace=answer.world.airspace[::-1],
        cells=answer.world.cells[::-1],
        structures=answer.world.structures[::-1],
    )
    assert map_sketch(answer, SIDE, SIDE) == map_sketch(attrs.evolve(answer, world=turned), SIDE, SIDE)


def test_a_stadium_without_an_event_in_the_window_is_not_on_the_sheet():
    """The island's one event is on 20 June 2027; the cliff mission flies on 12 June."""
    plan = read_plan(demo_missions_dir() / "cliff_level.lowline.geojson")
    world = surroundings(plan, known_sets=known_chart_sets())
    assert "stadium" not in map_sketch(assess(plan, world), 300, 300)
    event_day = attrs.evolve(
        plan.window,
        start_utc=datetime(2027, 6, 20, 5, tzinfo=UTC),
        end_utc=datetime(2027, 6, 20, 6, tzinfo=UTC),
    )
    on_event_day = attrs.evolve(plan, window=event_day)
    assert "stadium" in map_sketch(assess(on_event_day, world), 300, 300)
