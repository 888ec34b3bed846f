"""What the map canvas shows: places, layers, words, marks; and that nothing from a file is ever run.

Where something lies on screen is checked against the Web Mercator formula (EPSG:3857; standing A),
not against the page's own answer alone.
"""

import math
import time

import pytest
from PySide6.QtCore import QBuffer, QPoint
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest

from planner.desk.map import MapCanvas
from tests.desk.map_hand import boxes, drawn, each_element, inked, marks, page_value, plan, words

pytestmark = pytest.mark.qt_log_level_fail("CRITICAL")  # an error in the page is an error

CENTRE = (-150.2, 37.8)
A, B, C, D = (-150.21, 37.795), (-150.21, 37.805), (-150.19, 37.805), (-150.19, 37.795)


def mercator(lon, lat):
    return math.radians(lon), math.log(math.tan(math.pi / 4 + math.radians(lat) / 2))


def layer(layer_id, features, rank=1, **style):
    collection = {"type": "FeatureCollection", "features": features}
    return {
        "id": layer_id,
        "title": layer_id,
        "geojson": collection,
        "style": style,
        "visible": True,
        "rank": rank,
    }


def filled(layer_id, colour, rank):
    features = [square(-150.21, 37.795, 0.01)]
    return layer(layer_id, features, rank, stroke=colour, fill=colour, fill_opacity=1)


def square(west, south, size, **properties):
    east, north = west + size, south + size
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return feature("Polygon", [ring], properties)


def feature(kind, coordinates, properties):
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def test_a_place_lies_where_web_mercator_puts_it(hand):
    (ax, ay), (bx, by), (cx, cy) = mercator(*A), mercator(*C), mercator(*CENTRE)
    a, b, c = hand.at(A), hand.at(C), hand.at(CENTRE)
    scale = (b.x() - a.x()) / (bx - ax)
    assert c.x() == pytest.approx(a.x() + (cx - ax) * scale, abs=1.5)
    assert c.y() == pytest.approx(a.y() - (cy - ay) * scale, abs=1.5)
    assert b.y() == pytest.approx(a.y() - (by - ay) * scale, abs=1.5)


def test_the_constructor_returns_before_the_page_is_up_and_keeps_what_it_is_given(qtbot, fresh_canvas):
    assert not fresh_canvas.is_ready
    fresh_canvas.set_notice("INVENTED ISLAND")
    fresh_canvas.set_plan(plan(path=[A, B]))
    fresh_canvas.fit(*A, *C)
    with qtbot.waitSignal(fresh_canvas.ready, timeout=30_000):
        fresh_canvas.show()
    assert (
        page_value(qtbot, fresh_canvas, "document.getElementById('notice').textContent") == "INVENTED ISLAND"
    )
    qtbot.waitUntil(lambda: bool(drawn(qtbot, fresh_canvas, "handles")))


def test_a_folder_without_the_page_is_named(tmp_path, qapp):
    with pytest.raises(FileNotFoundError, match=r"map\.html"):
        MapCanvas(tmp_path)


def test_text_with_markup_stays_text(qtbot, canvas):
    evil = "<img src=x onerror=document.title='ran'><b>x</b>"
    canvas.set_layers(
        [layer("evil", [feature("Point", CENTRE, {"name": evil})], label_property="name", marker="mast")]
    )
    canvas.set_plan(plan(crew=[{"id": "1", "label": evil, "role": evil, "lon": A[0], "lat": A[1]}]))
    canvas.set_rings([{"lon": D[0], "lat": D[1], "radius_m": 700, "label": evil}])
    canvas.set_notice(evil)
    qtbot.waitUntil(lambda: sum(evil in word for word in words(qtbot, canvas)) >= 3)
    assert page_value(qtbot, canvas, "document.querySelectorAll('img[src=x], b').length") == 0
    assert page_value(qtbot, canvas, "document.title") == "Map"
    assert page_value(qtbot, canvas, "document.getElementById('notice').textContent") == evil


@pytest.mark.qt_log_ignore("Refused to", "Fetch API cannot load")
def test_the_page_runs_no_inline_script_and_reaches_no_network(qtbot, canvas):
    canvas.page.runJavaScript(
        """
        window.seen = [];
        document.addEventListener("securitypolicyviolation", e => window.seen.push(e.effectiveDirective));
        const script = document.createElement("script");
        script.textContent = "window.ran = 1";
        document.body.append(script);
        try { setTimeout("window.ran = 2", 0); } catch (refused) { window.seen.push("string refused"); }
        fetch("http://127.0.0.1:9/").catch(() => window.seen.push("fetch refused"));
        new Image().src = "http://127.0.0.1:9/x.png";
        """
    )
    QTest.qWait(300)
    assert page_value(qtbot, canvas, "window.ran ?? null") is None
    seen = page_value(qtbot, canvas, "window.seen")
    assert {"connect-src", "img-src", "fetch refused"} <= set(seen)
    assert any(directive.startswith("script-src") for directive in seen)


def test_layers_are_painted_hidden_and_stacked(canvas):
    red, green = filled("red", "#ff0000", rank=2), filled("green", "#00ff00", rank=1)
    canvas.set_layers([red, green])
    assert inked(canvas, "#ff0000") > 500
    assert inked(canvas, "#00ff00") == 0
    canvas.set_layer_visible("red", False)
    assert inked(canvas, "#ff0000") == 0
    assert inked(canvas, "#00ff00") > 500
    canvas.set_layer_visible("green", False)
    canvas.set_layer_visible("red", True)
    canvas.set_layer_visible("green", True)
    assert inked(canvas, "#ff0000") > 500
    assert inked(canvas, "#00ff00") == 0


def test_labels_wait_for_their_zoom_and_do_not_cover_each_other(qtbot, canvas):
    cells = [
        square(-150.22 + 0.004 * i, 37.79 + 0.004 * j, 0.004, ceiling=100)
        for i in range(10)
        for j in range(5)
    ]
    canvas.set_layers([layer("cells", cells, label_property="ceiling", min_zoom=19)])
    QTest.qWait(200)
    assert words(qtbot, canvas) == []
    canvas.set_layers([layer("cells", cells, label_property="ceiling", min_zoom=10)])
    qtbot.waitUntil(lambda: "100" in words(qtbot, canvas))
    placed = boxes(qtbot, canvas, ".map-label")
    assert len(placed) > 10
    for i, a in enumerate(placed):
        for b in placed[i + 1 :]:
            assert a[0] >= b[2] or a[2] <= b[0] or a[1] >= b[3] or a[3] <= b[1]


@pytest.mark.parametrize("corner", [(12, 12), (788, 12), (12, 588), (788, 588)])
def test_names_of_marks_in_a_corner_of_the_view_cover_each_other_nowhere(qtbot, canvas, hand, corner):
    """Five people close together there; all names are shown, whole."""
    middle, aside = hand.at(CENTRE), hand.at((CENTRE[0] + 0.005, CENTRE[1] - 0.005))
    deg_per_px = 0.005 / (aside.x() - middle.x()), 0.005 / (middle.y() - aside.y())
    towards = [1 if side < 300 else -1 for side in corner]
    names = [f"{name} (invented)" for name in ("Ash", "Wren", "Finch", "Rowan", "Alder")]
    crew = []
    for step, name in enumerate(names):
        spot = QPoint(corner[0] + 7 * step * towards[0], corner[1] + 16 * (step % 3) * towards[1])
        lon = CENTRE[0] + (spot.x() - middle.x()) * deg_per_px[0]
        lat = CENTRE[1] + (spot.y() - middle.y()) * deg_per_px[1]
        crew.append({"id": name, "label": name, "role": "observer", "lon": lon, "lat": lat})
    canvas.set_plan(plan(crew=crew))
    qtbot.waitUntil(lambda: len(words(qtbot, canvas)) == len(names))
    placed = boxes(qtbot, canvas, ".map-label")
    for i, a in enumerate(placed):
        assert min(a) >= 0
        assert a[2] <= canvas.width()
        assert a[3] <= canvas.height()
        for b in placed[i + 1 :]:
            assert a[0] >= b[2] or a[2] <= b[0] or a[1] >= b[3] or a[3] <= b[1]


def test_who_stands_at_one_spot_shares_one_label(qtbot, canvas):
    crew = [
        {"id": "a", "label": "Ash", "role": "remote-pilot", "lon": A[0], "lat": A[1]},
        {"id": "b", "label": "Wren", "role": "observer", "lon": C[0], "lat": C[1]},
    ]
    canvas.set_plan(plan(launch=list(A), landing=list(A), crew=crew))
    qtbot.waitUntil(lambda: words(qtbot, canvas) == ["launch and landing · Ash", "Wren"])


def test_three_thousand_polygons_are_shown_within_two_seconds(qtbot, canvas, hand):
    corners = [(-150.219 + 0.0006 * (k % 60), 37.7905 + 0.0004 * (k // 60)) for k in range(3000)]
    features = [square(*corner, 0.0003) for corner in corners]
    started = time.monotonic()
    canvas.set_layers([layer("many", features, stroke="#0000ff", fill="#0000ff", fill_opacity=1)])
    hand.at(CENTRE)  # answered only after the layers are in
    assert time.monotonic() - started < 2
    assert inked(canvas, "#0000ff") > 5000


def test_thousands_of_points_are_specks_from_far_and_signs_from_near(canvas, hand):
    places = [(-150.219 + 0.0007 * (k % 55), 37.791 + 0.0005 * (k // 55)) for k in range(2000)]
    features = [feature("Point", place, {}) for place in places]
    style = {"stroke": "#0000ff", "marker": "square", "width": 2}
    canvas.set_layers([layer("near", features, min_zoom=10, **style)])
    hand.at(CENTRE)
    near = inked(canvas, "#0000ff")
    canvas.set_layers([layer("far", features, min_zoom=19, **style)])
    hand.at(CENTRE)
    far = inked(canvas, "#0000ff")
    # A square's outline of 8 pixels by 2 has some sixteen times the ink of a speck of 2 by 2.
    assert near > 5 * far > 500
    canvas.set_layer_visible("far", False)
    assert inked(canvas, "#0000ff") == 0


def test_the_base_lies_where_its_corners_are(canvas, hand):
    image = QImage(64, 64, QImage.Format.Format_RGB888)
    image.fill(QColor("#30a0c0"))
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    assert image.save(buffer, "PNG")
    canvas.set_base(bytes(buffer.data()), A[0], A[1], C[0], C[1])
    QTest.qWait(300)
    shown = canvas.grab().toImage()
    corner, middle = hand.at(A), hand.at(CENTRE)
    assert QColor(shown.pixel(middle)).name() == "#30a0c0"
    assert QColor(shown.pixel(corner + QPoint(3, -3))).name() == "#30a0c0"
    assert QColor(shown.pixel(corner + QPoint(-3, 3))).name() != "#30a0c0"
    canvas.clear_base()
    QTest.qWait(300)
    assert QColor(canvas.grab().toImage().pixel(middle)).name() != "#30a0c0"


def test_names_of_rings_lie_beside_the_path_or_nowhere(qtbot, canvas):
    """Our own rule: words on the map keep clear of what is flown."""
    canvas.set_rings([{"lon": CENTRE[0], "lat": CENTRE[1], "radius_m": 600.0, "label": "Tern Landing"}])
    qtbot.waitUntil(lambda: "Tern Landing · not a rule" in words(qtbot, canvas))
    # One leg through each place that its name could have, just within the ring.
    north, east = 0.00478, 0.00625
    round_it = [
        (CENTRE[0] + across * east, CENTRE[1] + along * north)
        for across, along in ((-1, -1), (-1, 1), (1, 1), (1, -1), (-1, -1))
    ]
    canvas.set_plan(plan(path=round_it))
    qtbot.waitUntil(lambda: "Tern Landing · not a rule" not in words(qtbot, canvas))


def test_marks_differ_by_pattern_not_by_colour_alone(qtbot, canvas):
    coords = [A, B, C, D, CENTRE, A]
    canvas.set_plan(plan(path=coords, path_marks=marks(coords, "clear", "act", "stop", "unknown", "brief")))
    attributes = "['stroke', 'stroke-dasharray', 'd'].map(name => e.getAttribute(name))"
    paths = each_element(qtbot, canvas, ".leaflet-plan-pane path", attributes)
    strokes = [path[:2] for path in paths if path[2] not in (None, "M0 0")]
    assert ["url(#hatch)", None] in strokes
    assert len({dashes for _, dashes in strokes if dashes}) >= 2
    # Briefly hidden: a hollow line.
    assert strokes.count(["#1d5c57", None]) == 2
    assert strokes.count(["#fbf9f3", None]) > 4


def test_marker_highlight_and_rings_come_and_go(qtbot, canvas):
    canvas.set_marker(*CENTRE)
    canvas.highlight([A, B])
    canvas.set_rings([{"lon": CENTRE[0], "lat": CENTRE[1], "radius_m": 600.0, "label": "Tern Landing"}])
    qtbot.waitUntil(lambda: "Tern Landing · not a rule" in words(qtbot, canvas))
    assert drawn(qtbot, canvas, "hover")
    assert drawn(qtbot, canvas, "highlight")
    canvas.set_marker(None)
    canvas.highlight(None)
    canvas.set_rings([])
    qtbot.waitUntil(lambda: words(qtbot, canvas) == [])
    assert not drawn(qtbot, canvas, "hover")
    assert not drawn(qtbot, canvas, "highlight")


def test_a_ring_has_its_radius(qtbot, canvas, hand):
    # One degree of latitude at 37.8 N is 110 996 m (meridian arc on WGS 84; standing A).
    # Leaflet's sphere is 0.2 % off.
    canvas.set_rings([{"lon": CENTRE[0], "lat": CENTRE[1], "radius_m": 500.0, "label": "r"}])
    expression = "document.querySelector('.leaflet-rings-pane path').getBBox().height / 2"
    radius_px = page_value(qtbot, canvas, expression)
    degree_px = (hand.at(A).y() - hand.at(B).y()) / 0.01
    assert radius_px == pytest.approx(degree_px * 500 / 110_996, rel=0.01)


def test_a_page_that_died_comes_back_with_everything_on_it(qtbot, fresh_canvas):
    with qtbot.waitSignal(fresh_canvas.ready, timeout=30_000):
        fresh_canvas.show()
    fresh_canvas.set_notice("INVENTED ISLAND")
    with qtbot.waitSignal(fresh_canvas.ready, timeout=30_000):
        fresh_canvas.page.load("chrome://crash")
    assert (
        page_value(qtbot, fresh_canvas, "document.getElementById('notice').textContent") == "INVENTED ISLAND"
    )
