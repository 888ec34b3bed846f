"""Joins the document and the map: what is drawn, and what a gesture does."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from planner.desk.beneath_drawn import drawn_beneath
from planner.desk.crew_drawn import shown_crew
from planner.desk.document import Document
from planner.desk.drawing_hand import DrawingHand, place_on_map
from planner.desk.figure_guide import PLACED_GUIDE, TOOL_GUIDE
from planner.desk.figure_hand import PART, FigureHands
from planner.desk.flown.drawn import drawn_figures
from planner.desk.in_turns import InTurns
from planner.desk.last_answer import LastAnswer
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import (
    box_of_plan,
)
from planner.desk.map_ground import MapGround
from planner.desk.map_hours import MapHours
from planner.desk.map_layers import drawn_closures, map_layers, rings_about
from planner.desk.map_looks import MapLooks, lonlat
from planner.desk.map_notice import notice
from planner.desk.map_overlays import MapOverlays
from planner.desk.map_style import RINGS
from planner.desk.map_veil import MapVeil
from planner.desk.path_marks import none_known, path_marks
from planner.desk.turning_hand import TurningHand
from planner.desk.under_pointer import UnderPointer
from planner.geo.place import Place
from planner.plan.edits import DeletePoints
from planner.units import STATUTE_MILE_M

if TYPE_CHECKING:
    from planner.geo.window import TimeWindow

_SEVERAL = 2
_NOTHING_TO_TURN = (
    "Choose two points or more first: Ctrl and click them on the map, or rows in the table of points"
)


class MapView(MapLooks):
    """Keeps MapCanvas showing the document.

    `hovered` carries the distance along the path [m], or None; `picked` a part
    and index; `pointer` longitude and latitude [deg].
    """

    hovered = Signal(object)
    picked = Signal(str, int)
    toggled = Signal(str, int)
    pointer = Signal(float, float)
    tool_wanted = Signal(str)
    layers_changed = Signal()

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(document, parent)
        self.canvas = canvas
        self._last = LastAnswer.of(document)
        self._turns = InTurns.of(document)
        self.hand = DrawingHand(document, self)
        self.figures = FigureHands(document, self)
        self.turning = TurningHand(document, self)
        self.layers: list[dict[str, Any]] = []
        self.switches: dict[str, bool] = {}
        self.ring_radius_m = 5 * STATUTE_MILE_M
        self.tool = "move"
        self._selected: tuple[str, int] | None = None
        self._under_pointer: UnderPointer | None = None
        self._drawn = self._was_held = False
        self._marks: tuple[object, list[dict[str, Any]]] = (None, [])
        self._hours = MapHours()
        self._ground = MapGround(canvas, self)
        self._ground.trouble.connect(document.message)
        self.overlays = MapOverlays(document, canvas, self)
        self.overlays.trouble.connect(document.message)
        self._join_canvas()
        document.assessed.connect(self._draw_in_turn)
        document.followed.connect(self._draw_in_turn)
        document.assessed.connect(self._tell_hovered)
        document.world_changed.connect(self._on_world)
        document.replaced.connect(self._on_replaced)
        document.plan_changed.connect(self._on_plan)
        document.dirty_changed.connect(self._stamp)
        self.hand.figure_changed.connect(self.redraw)
        for figures in self.figures.all():
            figures.figure_changed.connect(self.redraw)
        self.hand.picked.connect(self._pick)
        self.veil = MapVeil(document, canvas)
        self.redraw()

    def close(self) -> None:
        """Stop all work in the background."""
        self.veil.leave()
        self._ground.close()
        self.overlays.close()

    def set_tool(self, name: str) -> None:
        """Choose what a click means; an area in the making is dropped."""
        if name != "area":
            self.hand.cancel()
        self.figures.use(name)
        self.tool = name
        self.canvas.set_tool(PART if name in self.figures.tools else name)
        self.canvas.setFocus()
        if name == "crew":
            self.hand.take_up_crew()
        elif name in TOOL_GUIDE:
            self._document.message.emit(TOOL_GUIDE[name])

    def show_instant(self, instant: "TimeWindow | None") -> None:
        """Show airspace as it is at a moment, stamped as such; None: as it is in the plan's window."""
        another, self._hours.instant = instant != self._hours.instant, instant
        self._stamp()
        if another:
            self.redraw()

    def choose(self, part: str, index: int, group: tuple[int, ...] = ()) -> None:
        """Show a point as chosen, alone or with others of the path, without telling anybody."""
        self._selected = (part, index) if part and index >= 0 else None
        self.hand.group = group if part == "path" else ()
        self._draw_in_turn()

    @property
    def chosen_part(self) -> str:
        """The part of the plan of which something is chosen, '' for none."""
        return self._selected[0] if self._selected else ""

    def delete_chosen(self) -> None:
        """Delete the chosen points; while drawing a line, its last one."""
        if self.tool in self.figures.tools:
            self.figures.active.delete(len(self.figures.active.corners) - 1)
        elif self.tool in ("path", "area"):
            last = len(self._shown_area() if self.tool == "area" else self._document.plan.path) - 1
            if last >= 0:
                self.hand.delete(self.tool, last)
        elif len(self.hand.group) > 1:
            self._document.try_edit(DeletePoints(self.hand.group))
        elif self._selected is not None:
            self._on_deleted(*self._selected)

    def show_layer(self, layer_id: str, visible: bool) -> None:
        """Show or hide one layer, or the advisory rings."""
        self.switches[layer_id] = visible
        if layer_id == RINGS.id:
            self._draw_rings()
        elif not self.overlays.switch(layer_id, visible):
            self.canvas.set_layer_visible(layer_id, visible)

    def set_ring_radius(self, radius_m: float) -> None:
        """Draw the advisory rings with another radius [m]."""
        self.ring_radius_m = radius_m
        self._draw_rings()

    def _draw_in_turn(self) -> None:
        self._turns.do(self.redraw)

    def redraw(self) -> None:
        """Draw the plan as it is now."""
        if self._selected is not None and self._selected[1] >= self._count(self._selected[0]):
            self._selected, self.hand.group = None, ()
        self._drawn = True
        if self._hours.changed(self._document.plan, self._document.world):
            self._draw_layers()
        self.canvas.set_plan(self._picture_of_plan())

    def _join_canvas(self) -> None:
        canvas = self.canvas
        canvas.clicked.connect(self._on_clicked)
        canvas.finished.connect(self._on_finished)
        canvas.cancelled.connect(self.cancel)
        canvas.vertex_moved.connect(self._on_moved)
        canvas.reshaped.connect(self._on_reshaped)
        canvas.vertex_inserted.connect(self._on_inserted)
        canvas.vertex_deleted.connect(self._on_deleted)
        canvas.vertex_selected.connect(self._pick)
        canvas.vertex_toggled.connect(self.toggled)
        canvas.chosen_deleted.connect(self.delete_chosen)
        canvas.path_hovered.connect(self._on_hovered)
        canvas.hover_left.connect(self._on_hover_left)
        canvas.pointer.connect(self._on_pointer)
        canvas.pointer.connect(self.pointer)
        canvas.view_changed.connect(self._on_view)
        canvas.failed.connect(self._document.message)
        if canvas.failure:
            self._document.message.emit(canvas.failure)

    def cancel(self) -> None:
        """Drop the figure in the making and the outline looked at; with none, go back to moving."""
        self.canvas.set_outline(None)
        self.forget_asked()
        if self.hand.corners:
            self.hand.cancel()
        elif self.figures.active.cancel():
            return
        elif self.tool != "move":
            self.tool_wanted.emit("move")

    def finish(self) -> None:
        """End the figure in the making, as Enter on the map does."""
        if self.tool in ("path", "area", *self.figures.tools):
            self._on_finished(PART if self.tool in self.figures.tools else self.tool)

    def _on_clicked(self, tool: str, lon: float, lat: float) -> None:
        if tool == PART:
            self.figures.active.click(place_on_map(lon, lat))
        elif self.hand.click(tool, lon, lat):
            # Left in the hand it would move what it placed at the next click, whatever that is meant for.
            self.tool_wanted.emit("move")
            self._document.message.emit(PLACED_GUIDE[tool])

    def _on_deleted(self, part: str, index: int) -> None:
        if part == PART:
            self.figures.active.delete(index)
        else:
            self.hand.delete(part, index)

    def _on_finished(self, tool: str) -> None:
        if tool == PART:
            self.figures.active.finish()
            if not self.figures.active.corners:
                self.tool_wanted.emit("move")
            return
        drawing = bool(self.hand.corners)
        self.hand.finish(tool)
        if not self.hand.corners and (drawing or tool == "path" or self._document.plan.area):
            self.tool_wanted.emit("move")

    def _on_moved(self, part: str, index: int, lon: float, lat: float, phase: str) -> None:
        self._drawn = False
        try:
            if part == PART:
                self.figures.active.move(index, place_on_map(lon, lat), phase)
            else:
                self._point_at_held(part, index, (lon, lat))
                self.hand.move(part, index, lon, lat, phase)
                self._point_at_held(part, index, (lon, lat))
                self._was_held = part == "path" and phase == "end"
        finally:
            self._settle_gesture()

    def _on_inserted(self, part: str, after: int, lon: float, lat: float) -> None:
        self.choose(part, after + 1)
        self._drawn = False
        try:
            if part == PART:
                self.figures.active.insert(after, place_on_map(lon, lat))
            else:
                self.hand.insert(part, after, lon, lat)
                self.picked.emit(part, after + 1)
        finally:
            self._settle_gesture()

    def _on_reshaped(self, turn_deg: float, scale: float, phase: str) -> None:
        self._drawn = False
        try:
            self.turning.reshape(turn_deg, scale, phase, self.hand.group)
        finally:
            self._drawn = self._drawn and phase == "move"
            self._settle_gesture()

    def take_ring(self, chosen: tuple[int, ...]) -> None:
        """Let keys turn and scale the chosen points, two at least."""
        if len(chosen) < _SEVERAL:
            self._document.message.emit(_NOTHING_TO_TURN)
            return
        self.tool_wanted.emit("move")
        self.canvas.setFocus()
        self.canvas.take_ring()

    def _settle_gesture(self) -> None:
        # Not before it is drawn: the page then sends what the hand has done since.
        self._turns.do(self._settle)

    def _settle(self) -> None:
        # An edit that was refused has drawn nothing; the page must hear where the point really is.
        if not self._drawn:
            self.redraw()
        self.canvas.acknowledge()

    def _on_hovered(self, leg: int, share: float, lon: float, lat: float) -> None:
        self._under_pointer = UnderPointer(leg, share, (lon, lat), self._document.plan.path)
        self._tell_hovered()

    def _point_at_held(self, part: str, index: int, lonlat: tuple[float, float]) -> None:
        """Let the marker go with a point of the path that is pulled: the pointer is on it."""
        path = self._document.plan.path
        if part == "path" and len(path) > 1:
            leg = min(index, len(path) - 2)
            self._under_pointer = UnderPointer(leg, float(index - leg), lonlat, path)

    def _on_pointer(self) -> None:
        """Leave the point that was let go: the page tells anew what the pointer is near."""
        if self._was_held:
            self._was_held = False
            self._on_hover_left()

    def _on_hover_left(self) -> None:
        self._under_pointer = None
        self.hovered.emit(None)

    def _tell_hovered(self) -> None:
        track = self._document.assessment.track
        if track is not None and self._under_pointer is not None:
            self.hovered.emit(self._under_pointer.along(track, self._document.assessment.plan.path))

    def _on_view(self, west: float, south: float, east: float, north: float, _zoom: float) -> None:
        self._view = (west, south, east, north)

    def _pick(self, part: str, index: int) -> None:
        self.choose(part, index)
        self.picked.emit(part, index)

    def _on_replaced(self) -> None:
        self._selected, self.hand.group = None, ()
        self._view = None
        self.canvas.highlight(None)
        self.forget_asked()
        self._fitted = False
        self._stamp()
        box = box_of_plan(self._document.plan)
        if box is not None:
            self.canvas.fit(*box)
            self._fitted = True

    def _on_plan(self) -> None:
        if box_of_plan(self._document.plan) is not None:
            self.forget_asked()

    def _on_world(self) -> None:
        self._draw_layers()
        self._draw_rings()
        self._stamp()
        self._ground.show(self._document.world.terrain, self._document.plan.chart_sets)
        if not self._fitted:
            self.fit_plan()
            self._fitted = True

    def _draw_layers(self) -> None:
        world = self._document.world
        self.layers = map_layers(world, self._hours.drawn(self._document.plan, world))
        for layer in self.layers:
            layer["visible"] = self.switches.get(layer["id"], layer["visible"])
        self.canvas.set_layers(self.layers)
        self.layers_changed.emit()

    def _draw_rings(self) -> None:
        rings = rings_about(self._document.world.aerodromes, self.ring_radius_m)
        self.canvas.set_rings(rings if self.switches.get(RINGS.id, True) else [])

    def _stamp(self) -> None:
        self.canvas.set_notice(notice(self._document, self._hours.instant))

    def _count(self, part: str) -> int:
        plan = self._document.plan
        sizes = {"path": len(plan.path), "area": len(self._shown_area()), "crew": len(shown_crew(plan))}
        return {**sizes, PART: len(self.figures.active.shown())}.get(part, 1)

    def _shown_area(self) -> Sequence[Place]:
        area = self._document.plan.area
        return self.hand.corners or (area.ring if area else ())

    def _picture_of_plan(self) -> dict[str, Any]:
        plan = self._document.plan
        part, index = self._selected or ("", -1)
        return {
            "area": [lonlat(place) for place in self._shown_area()],
            "closures": drawn_closures(plan, self._hours.instant),
            "closure_is_line": self.figures.active.is_line,
            "beneath": drawn_beneath(plan),
            "figures": drawn_figures(plan),
            "closure": [lonlat(place) for place in self.figures.active.shown()],
            "path": [lonlat(point.place) for point in plan.path],
            "path_marks": self._path_marks(),
            "launch": lonlat(plan.launch.place) if plan.launch else None,
            "landing": lonlat(plan.landing.place) if plan.landing else None,
            "return_point": lonlat(plan.return_point) if plan.return_point else None,
            "crew": shown_crew(plan),
            "turning": self.turning.told,
            "selected": {"part": part, "index": index, "group": self.hand.group} if part else None,
        }

    def _path_marks(self) -> list[dict[str, Any]]:
        answer = self._document.assessment
        if self._document.reading or answer.plan.path is not self._document.plan.path:
            return none_known(self._document.plan)
        if self._marks[0] is not answer:
            self._marks = answer, path_marks(answer, self._last.stretches(answer))
        return self._marks[1]
