"""The map as a widget: it draws the plan it is given and reports gestures, and decides nothing."""

from __future__ import annotations

import base64
import itertools
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from pyqtlet2.mapwidget import MapWidget
from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWebEngineCore import QWebEnginePage, QWebEngineSettings

from planner.desk.map.bridge import MapBridge
from planner.desk.map.click_order import ClickOrder
from planner.desk.map.page_source import page_url

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

_MOST_RELOADS = 3


class GroundPicture(Protocol):
    """A PNG, its rows in Web Mercator, between four bounds [deg]."""

    png: bytes
    west: float
    south: float
    east: float
    north: float


class MapCanvas(MapWidget):
    """Leaflet map that shows a plan and turns the pilot's gestures into signals.

    Longitudes and latitudes are degrees on WGS 84, east and north positive.
    Everything set before `ready` is kept and shown when the page is up.
    The receiver of `vertex_inserted`, `vertex_moved` and `reshaped` (degrees clockwise, times its size,
    phase: the points chosen together) calls `set_plan` with the outcome and then
    `acknowledge`, once for each: the page holds further moves back until then.
    An Escape during a drag ends it where it began (phase "end"), followed by `cancelled`.

    Parameters
    ----------
    page_dir
        Folder that holds ``web/map.html``.
    """

    ready = Signal()
    failed = Signal(str)
    clicked = Signal(str, float, float)
    probed = Signal(float, float)
    finished = Signal(str)
    cancelled = Signal()
    vertex_moved = Signal(str, int, float, float, str)
    reshaped = Signal(float, float, str)
    vertex_inserted = Signal(str, int, float, float)
    vertex_deleted = Signal(str, int)
    vertex_selected = Signal(str, int)
    vertex_toggled = Signal(str, int)
    chosen_deleted = Signal()
    path_hovered = Signal(int, float, float, float)
    hover_left = Signal()
    pointer = Signal(float, float)
    view_changed = Signal(float, float, float, float, float)
    drawn = Signal(int)

    def __init__(self, page_dir: Path) -> None:
        super().__init__(False, str(page_dir))
        self._page.setParent(self)
        self._channel.setParent(self)
        self.setAcceptDrops(False)
        self.setAccessibleName("Map")

    def _loadPage(self) -> None:
        self._is_ready = False
        self._failure = ""
        self._reloads = 0
        self._kept: dict[str, str] = {}
        self._layers: list[dict[str, Any]] = []
        self._questions: dict[int, Callable[[float, float], None]] = {}
        self._question_number = itertools.count()
        self.order = ClickOrder(self)
        self._bridge = MapBridge(self)
        self._bridge.arrived.connect(self._on_message)
        self._channel.registerObject("bridge", self._bridge)
        settings = self._page.settings()
        settings.setAttribute(QWebEngineSettings.WebAttribute.LocalContentCanAccessRemoteUrls, False)
        settings.setAttribute(QWebEngineSettings.WebAttribute.JavascriptCanOpenWindows, False)
        settings.setAttribute(QWebEngineSettings.WebAttribute.ShowScrollBars, False)
        self._page.loadFinished.connect(self._on_load_finished)
        self._page.renderProcessTerminated.connect(self._on_page_died)
        self._page.load(page_url(Path(self.base_path)))

    @property
    def is_ready(self) -> bool:
        """Whether the page is up and shows what it is given."""
        return self._is_ready

    @property
    def failure(self) -> str:
        """Why the page will not come up, as `failed` said; '' while it may."""
        return self._failure

    def set_base(self, png: bytes, west: float, south: float, east: float, north: float) -> None:
        """Lay a PNG, its rows already in Web Mercator, under everything else."""
        self._keep("base", _image(png, west, south, east, north))

    def clear_base(self) -> None:
        """Take the picture of the ground away."""
        self._keep("base", None)

    def set_closer(self, picture: GroundPicture | None) -> None:
        """Lay a sharper picture of a part of the ground on the base; None takes it away."""
        self._keep("closer", _laid(picture))

    def set_allowed(self, picture: GroundPicture | None) -> None:
        """Lay a half-transparent picture over the ground, under all lines; None takes it away."""
        self._keep("allowed", _laid(picture))

    def set_seen(self, picture: GroundPicture | None) -> None:
        """Lay a half-transparent picture of what is seen over that; None takes it away."""
        self._keep("seen", _laid(picture))

    def set_notice(self, text: str) -> None:
        """Stamp a few words on a corner of the map; an empty text removes them."""
        self._keep("notice", text)

    def set_layers(self, layers: Sequence[Mapping[str, Any]]) -> None:
        """Replace all chart layers.

        Each is ``{id, title, geojson, style, visible, rank}``; a higher rank lies on top. ``style`` may hold
        ``stroke, width, dash, fill, fill_opacity, halo`` (a wide pale band under the line), ``marker``
        (shape of points: dot, square, diamond, mast, tower, field, pad, site, cross), ``label_property``,
        ``label_at`` ("centre" or "edge") and ``min_zoom`` (from which zoom on labels are shown).
        """
        self._layers = [dict(layer) for layer in layers]
        self._keep("layers", self._layers)

    def set_layer_visible(self, layer_id: str, visible: bool) -> None:
        """Show or hide one layer."""
        for layer in self._layers:
            if layer["id"] == layer_id:
                layer["visible"] = visible
        self._send("layer_visible", {"id": layer_id, "visible": visible})

    def set_plan(self, plan: Mapping[str, Any]) -> None:
        """Draw the plan.

        ``{"area": [[lon, lat], ...] (not closed), "path": [[lon, lat], ...],
        "path_marks": [{"from": leg, "coords": [[lon, lat], ...], "mark": "clear|brief|act|stop|unknown"}]``
        (each within the leg that starts at point ``from``) ``, "launch": [lon, lat] | None, "landing": ...,
        "return_point": ...,
        "crew": [{"id", "label", "role", "lon", "lat"}],
        "selected": {"part", "index", "group": [index, ...] (chosen with it)} | None,
        "closures": [{"coords", "label", "idle"}] (restrictions),
        "beneath": [{"kind", "as": "spot|line|area", "coords", "label"}],
        "figures": [{"kind", "first", "last" (points of the path), "label", "bail_out", "subject"}]
        (the last two [lon, lat] or None),
        "closure": corners of the restriction or item in hand, "closure_is_line": whether it stays open,
        "turning": {"words", "refused", "turn" [deg], "scale"} (how far the hand has turned and scaled the
        points chosen, as far as the desk agrees) | None}``
        """
        self._keep("plan", plan)

    def set_tool(self, name: str) -> None:
        """Choose what a click means: move, path, area, closure, launch, landing, return_point or crew."""
        self._keep("tool", name)

    def take_ring(self) -> None:
        """Let arrow keys turn and scale the points chosen together, until Enter or Escape."""
        self._send("ring", None)

    def set_marker(self, lon: float | None, lat: float | None = None) -> None:
        """Put the marker shared with the profile at a place, or take it away with None."""
        self._keep("marker", None if lon is None else [lon, lat])

    def fit(self, west: float, south: float, east: float, north: float) -> None:
        """Show this rectangle, and keep it in view on resizing until the pilot moves the map."""
        self._keep("fit", [west, south, east, north])

    def zoom(self, steps: float) -> None:
        """Show the map so many steps closer (farther, below zero), about its middle."""
        self._send("zoom", steps)

    def highlight(self, coords: Sequence[Sequence[float]] | None) -> None:
        """Flash a stretch and leave it lightly marked; None removes it."""
        self._keep("highlight", coords)

    def set_outline(self, geojson: Mapping[str, Any] | None, label: str = "") -> None:
        """Draw one named outline over the charts, a GeoJSON geometry; None removes it."""
        self._keep("outline", None if geojson is None else {"geojson": geojson, "label": label})

    def set_flight(self, marks: Mapping[str, Any]) -> None:
        """Draw what the flight's reckoning found, with the ways the aircraft then takes by itself.

        ``{"spots": [{"shape": "turn_back|lost|ends", "lonlat", "label", "always"}],
        "ways": [[lonlat, ...]]}``
        """
        self._keep("flight", marks)

    def set_text(self, share: float) -> None:
        """Write labels, stamp and scale so many times their usual size."""
        self._keep("text", share)

    def set_asked(self, lonlat: Sequence[float] | None, words: str = "") -> None:
        """Mark a place that was asked for, named in a few words; None takes the mark away."""
        self._keep("asked", None if lonlat is None else {"lonlat": lonlat, "words": words})

    def set_rings(self, rings: Sequence[Mapping[str, Any]]) -> None:
        """Draw advisory rings ``{lon, lat, radius_m, label}``, each labelled as not being a rule."""
        self._keep("rings", rings)

    def acknowledge(self) -> None:
        """Tell the page that its last move or insertion has been dealt with."""
        self._send("acknowledge", None)

    def ask_drawn(self, number: int) -> None:
        """Let `drawn` tell, with this number, when all that was sent before is on the screen."""
        self._send("drawn", number)

    def point_on_screen(self, lon: float, lat: float, callback: Callable[[float, float], None]) -> None:
        """Ask where a place lies in this widget [device-independent pixels from the top left]."""
        number = next(self._question_number)
        self._questions[number] = callback
        self._send("locate", {"number": number, "lon": lon, "lat": lat})

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the page mark the focus only while it is here, and keys wait for a click."""
        if event.type() == QEvent.Type.MouseButtonRelease and self._is_ready:
            self.order.released()
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self._keep("focus", event.type() == QEvent.Type.FocusIn)
        return super().eventFilter(watched, event)

    def _keep(self, kind: str, payload: object) -> None:
        message = json.dumps(payload, allow_nan=False, separators=(",", ":"))
        self._kept[kind] = message
        if self._is_ready:
            self._bridge.send(kind, message)

    def _send(self, kind: str, payload: object) -> None:
        if self._is_ready:
            self._bridge.send(kind, json.dumps(payload, allow_nan=False))

    def _on_message(self, kind: str, arguments: list[Any]) -> None:
        if kind == "page_ready":
            self._on_page_ready()
        elif kind == "located":
            number, x_px, y_px = arguments
            self._questions.pop(number)(x_px, y_px)
        elif kind == "released":
            self.order.answered()
        elif kind in _GESTURES:
            getattr(self, kind).emit(*arguments)

    def _on_page_ready(self) -> None:
        self._is_ready = True
        # What has the focus is a widget of the engine's own.
        inner = self.focusProxy()
        if inner is not None:
            inner.setAccessibleName(self.accessibleName())
            inner.installEventFilter(self)
        if self._layers:
            self._kept["layers"] = json.dumps(self._layers, allow_nan=False, separators=(",", ":"))
        for kind, message in self._kept.items():
            self._bridge.send(kind, message)
        self.ready.emit()

    def _on_load_finished(self, loaded: bool) -> None:
        if not loaded:
            self._fail("The map page could not be read: install the program again.")

    def _on_page_died(self, status: QWebEnginePage.RenderProcessTerminationStatus, code: int) -> None:
        self._is_ready = False
        self.order.forget()
        self._questions.clear()
        if status == QWebEnginePage.RenderProcessTerminationStatus.NormalTerminationStatus:
            return
        self._reloads += 1
        if self._reloads > _MOST_RELOADS:
            self._fail(f"The map stopped working (code {code}): save the plan and start again.")
            return
        self._page.load(page_url(Path(self.base_path)))

    def _fail(self, line: str) -> None:
        self._failure = line
        self.failed.emit(line)


def _laid(picture: GroundPicture | None) -> dict[str, Any] | None:
    if picture is None:
        return None
    return _image(picture.png, picture.west, picture.south, picture.east, picture.north)


def _image(png: bytes, west: float, south: float, east: float, north: float) -> dict[str, Any]:
    return {"png": base64.b64encode(png).decode("ascii"), "bounds": [west, south, east, north]}


_GESTURES = frozenset(
    {
        "clicked",
        "probed",
        "finished",
        "cancelled",
        "vertex_moved",
        "reshaped",
        "vertex_inserted",
        "vertex_deleted",
        "vertex_selected",
        "vertex_toggled",
        "chosen_deleted",
        "path_hovered",
        "hover_left",
        "pointer",
        "view_changed",
        "drawn",
    }
)
