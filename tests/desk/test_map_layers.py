"""Chart layers of the map. Line kinds: FAA Chart Users' Guide by secondary source (standing B)."""

import json
from datetime import UTC, datetime, timedelta

import attrs
import pytest
from shapely.geometry import box

from planner.desk import saying
from planner.desk.map_layers import (
    airspace_label,
    cell_label,
    features_by_layer,
    layer_of,
    map_layers,
)
from planner.desk.map_style import BLUE, LOOKS, MAGENTA
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.saying import AS_IT_COMES, Units
from planner.world.airspace import (
    SURFACE,
    UNLIMITED,
    AirspaceKind,
    AirspaceVolume,
    FacilityCell,
    LimitReference,
    VerticalLimit,
)
from planner.world.structures import Structure
from planner.world.world import World

FT = 0.3048
OUTLINE = box(-150.3, 37.7, -150.2, 37.8)


def feet(height, reference=LimitReference.SEA_LEVEL):
    return VerticalLimit(reference, height * FT)


def volume(kind, floor=SURFACE, top=UNLIMITED, name="Corrow (INVENTED)"):
    return AirspaceVolume("key", name, kind, OUTLINE, floor, top)


@pytest.mark.parametrize(
    ("kind", "colour", "dashed"),
    [
        (AirspaceKind.CLASS_B, BLUE, False),
        (AirspaceKind.CLASS_C, MAGENTA, False),
        (AirspaceKind.CLASS_D, BLUE, True),
        (AirspaceKind.CLASS_E2, MAGENTA, True),
    ],
)
def test_airspace_lines_follow_the_chart_convention(kind, colour, dashed):
    looks = {look.id: look.style for look in LOOKS}
    style = looks[layer_of(volume(kind))]
    assert style["stroke"] == colour
    assert ("dash" in style) is dashed


def test_class_e_from_700_ft_is_a_magenta_vignette_and_other_floors_a_blue_one():
    looks = {look.id: look.style for look in LOOKS}
    low = volume(AirspaceKind.CLASS_E_OTHER, feet(700, LimitReference.ABOVE_GROUND))
    high = volume(AirspaceKind.CLASS_E_OTHER, feet(1200, LimitReference.ABOVE_GROUND))
    assert looks[layer_of(low)]["stroke"] == MAGENTA
    assert looks[layer_of(high)]["stroke"] == BLUE
    assert looks[layer_of(low)]["halo"]
    assert looks[layer_of(high)]["halo"]


@pytest.mark.parametrize(
    ("shown", "label"),
    [
        (volume(AirspaceKind.CLASS_D, SURFACE, feet(2500)), "Corrow (INVENTED) D [25]"),
        (volume(AirspaceKind.CLASS_B, feet(3000), feet(11000)), "Corrow (INVENTED) B 110/30"),
        (volume(AirspaceKind.CLASS_C, feet(1300), feet(4100)), "Corrow (INVENTED) C 41/13"),
        (volume(AirspaceKind.CLASS_C, SURFACE, feet(4100)), "Corrow (INVENTED) C 41/SFC"),
    ],
)
def test_labels_give_hundreds_of_feet_as_charts_do(shown, label):
    assert airspace_label(shown) == label


def test_every_kind_of_airspace_has_a_layer():
    layers = {look.id for look in LOOKS}
    assert {layer_of(volume(kind)) for kind in AirspaceKind} <= layers


def test_a_cell_shows_its_feet_and_a_question_mark_where_its_figure_is_no_good():
    assert cell_label(FacilityCell("a", OUTLINE, 400 * FT)) == "400"
    assert cell_label(FacilityCell("a", OUTLINE, 0.0)) == "0"
    assert cell_label(FacilityCell("a", OUTLINE, None, published="375")) == "?"


def test_a_cells_figure_is_in_metres_where_they_are_preferred_and_says_so(qapp):
    """400 ft are 121.92 m and 0 ft none (1 ft = 0.3048 m, by definition): a limit is rounded down."""
    saying.choose(qapp, Units(height="m"))
    try:
        cells = [FacilityCell("a", OUTLINE, feet * FT) for feet in (400, 0)]
        assert [cell_label(cell) for cell in cells] == ["121 m", "0 m"]
        assert cell_label(FacilityCell("a", OUTLINE, None, published="375")) == "?"
    finally:
        saying.choose(qapp, AS_IT_COMES)


def test_a_dismantled_structure_is_not_shown_and_text_of_files_stays_text():
    name = '<img src=x onerror="alert(1)">'
    standing = Structure("a", "TOWER", Place(-150.2, 37.8), 200.0, 100.0, name=name)
    gone = Structure("b", "TOWER", Place(-150.2, 37.8), 200.0, 100.0, dismantled=True)
    features = features_by_layer(World(structures=(standing, gone)))["structures"]
    assert [feature["properties"]["label"] for feature in features] == [f"{name} 328 ft"]


def test_layers_are_plain_json_and_empty_ones_are_left_out():
    layers = map_layers(World(airspace=(volume(AirspaceKind.CLASS_D),)))
    assert [layer["id"] for layer in layers] == ["class_d"]
    json.dumps(layers, allow_nan=False)


def test_heights_above_ground_are_written_out_in_feet():
    """In hundreds, as sea level ones are, '30 AGL' would be taken for 30 feet."""
    event = volume(AirspaceKind.STADIUM, SURFACE, feet(3000, LimitReference.ABOVE_GROUND))
    assert airspace_label(event) == "Corrow (INVENTED) 3,000 ft AGL/SFC"


def test_what_is_not_active_at_the_planned_time_is_drawn_quietly_and_without_its_name():
    noon = datetime(2027, 6, 12, 12, tzinfo=UTC)
    event = attrs.evolve(
        volume(AirspaceKind.STADIUM),
        active_from_utc=noon,
        active_to_utc=noon + timedelta(hours=4),
    )
    for hours, idle in ((-3, True), (1, False), (5, True)):
        start = noon + timedelta(hours=hours)
        window = TimeWindow(start, start + timedelta(hours=1), "UTC")
        (feature,) = features_by_layer(World(airspace=(event,)), window)["events"]
        assert feature["properties"].get("idle", False) is idle
        assert (feature["properties"]["label"] == "") is idle
    (feature,) = features_by_layer(World(airspace=(event,)), None)["events"]
    assert not feature["properties"].get("idle"), "without a time it counts as active"
