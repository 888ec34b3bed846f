"""The window: who hears of what."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import attrs
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QCloseEvent, QKeyEvent

from planner.desk.action_table import TOOLS
from planner.desk.actions import fill_menus, make_actions
from planner.desk.frame import DeskFrame, fill
from planner.settings import Settings

if TYPE_CHECKING:
    from planner.desk.commands import WorldSource
    from planner.desk.document import Document
    from planner.desk.map_view import MapView
    from planner.desk.profile_view import ProfileView
    from planner.desk.questions import Questions
    from planner.desk.side_panel import SidePanel
    from planner.geo.place import Place
    from planner.permission.need import PermissionNeed
    from planner.plan.crew import Role
    from planner.rules.finding import Finding

_STRIPS = "flight-strips"


class DeskWindow(DeskFrame):
    """The desk. It shows with its map first; `move_in` brings all that needs the plan.

    `settings_changed` carries settings that the pilot has changed.
    What takes a moment to load is imported inside methods, so that the map is there before it.
    """

    settings_changed = Signal(object)

    def __init__(self, *, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.map_view: MapView | None = None
        self.profile_view: ProfileView | None = None
        self.side: SidePanel | None = None
        self._moved_in = False
        self._closing = False

    @property
    def closing(self) -> bool:
        """Whether the window is closed, or about to be."""
        return self._closing

    def move_in(
        self, document: "Document", source: "WorldSource", *, questions: "Questions | None" = None
    ) -> None:
        """Bring what shows or changes the plan, but for the profile and the panel at the side."""
        from planner.desk.commands import Commands
        from planner.desk.questions import Boxes
        from planner.desk.saving import Saver
        from planner.plan.crew import Role

        self.document = document
        self.questions: Questions = questions or Boxes(self)
        self.saver = Saver(document, self.questions, self)
        self.commands = Commands(document, source, self.saver, self.questions, self)
        self.menu_actions = make_actions(self, self._handlers(), self.in_turn)
        self._furnish()
        if self.canvas is not None:
            self._join_map()
        self._listen()
        self.menu_actions["move"].setChecked(True)
        self.menu_actions["follow"].setChecked(True)
        self.menu_actions["flight_strips"].setChecked(self.settings.layer_switches.get(_STRIPS, True))
        self.strip.show_role(Role.REMOTE_PILOT)
        self._refresh_title()
        self._moved_in = True

    def _furnish(self) -> None:
        from planner.desk.banner import UnsavedBanner
        from planner.desk.doors import Doors
        from planner.desk.hour.hour_desk import HourDesk
        from planner.desk.last_time.line import LastTimeLine
        from planner.desk.layers_popup import LayersPopup
        from planner.desk.path_hands import PathHands
        from planner.desk.pointing import Pointing
        from planner.desk.readout_line import ReadoutLine
        from planner.desk.respeak import speak_anew
        from planner.desk.state_dir import state_dir
        from planner.desk.status_line import StatusLine
        from planner.desk.tool_strip import ToolStrip
        from planner.desk.top_bar import TopBar

        fill_menus(self.menuBar(), self.menu_actions)
        self.top_bar = TopBar(self.document, self)
        self.banner = UnsavedBanner(self)
        self.last_time = LastTimeLine(self.document, self.commands.source, state_dir(), self)
        self.strip = ToolStrip(self.menu_actions, self)
        self.readout = ReadoutLine(self.document, self)
        self.status = StatusLine(self.document, self)
        self.popup = LayersPopup(self.settings, self)
        self.doors = Doors(self.document, self.commands, self.questions, lambda: self.settings, self)
        self.doors.restrictions.draw_wanted.connect(lambda: self.use_tool("closure"))
        self.doors.beneath.draw_wanted.connect(lambda: self.use_tool("beneath"))
        self.doors.stands.draw_wanted.connect(lambda: self.use_tool("standing"))
        self.doors.flown.chosen_points = self._chosen_points
        self.doors.flown.moving_wanted.connect(lambda: self.use_tool("move"))
        self.doors.fixes.settings_changed.connect(self._keep)
        self.doors.preferences.settings_changed.connect(self._keep)
        self.doors.preferences.redressed.connect(self._redress)
        self.doors.preferences.spoken.connect(lambda: speak_anew(self, self.document))
        self.hands = PathHands(self.document, self)
        self.pointing = Pointing(self)
        self.doors.changes.place_wanted.connect(self.pointing.show_where)
        self.doors.flown.shown.connect(self.pointing.show_where)
        self.hours = HourDesk(self.document, self)
        self.hours.aircraft_moved.connect(self.pointing.mark)
        self.readout.ceiling_asked.connect(self.doors.reasons.show_ceiling)
        for place, widget in (
            (self.top_place, self.top_bar),
            (self.banner_place, self.banner),
            (self.banner_place, self.last_time),
            (self.strip_place, self.strip),
            (self.readout_place, self.readout),
            (self.hour_place, self.hours.bar),
            (self.status_place, self.status),
        ):
            fill(place, widget)

    def _listen(self) -> None:
        document = self.document
        document.dirty_changed.connect(self._refresh_title)
        document.plan_changed.connect(self._refresh_title)
        document.replaced.connect(self._refresh_title)
        document.history_changed.connect(self._refresh_undo)
        self.hands.made.connect(self.pointing.pick_rows)
        self.top_bar.form_wanted.connect(self._show_form)
        self.last_time.finding_wanted.connect(self._on_cause)
        self.last_time.need_wanted.connect(self._on_need)
        self.saver.land_wanted.connect(lambda: self._show_form("land"))
        self.saver.compare_wanted.connect(self.doors.changes.present_saved)
        self.strip.role_chosen.connect(self._on_role)
        self._refresh_undo()

    def _handlers(self) -> dict[str, Callable[..., object]]:
        from planner.desk.commands import ways_of_commands
        from planner.desk.doors import ways_through
        from planner.desk.path_hands import ways_of_hands
        from planner.desk.view_ways import ways_of_view

        commands = self.commands
        handlers: dict[str, Callable[..., object]] = {
            **ways_of_commands(lambda: commands),
            "quit": lambda: self.close(),
            "undo": lambda: self.document.undo_stack.undo(),
            "redo": lambda: self.document.undo_stack.redo(),
            "delete": self._delete,
            **ways_of_hands(lambda: self.hands, self._chosen_points, self._marker_m),
            "follow": self._on_follow,
            "hour": lambda: self.hours.take_up(),
            "flight_strips": self._on_flight_strips,
            "hour_play": lambda: self.hours.play(),
            "fit_plan": lambda: self._fit(charts=False),
            "fit_charts": lambda: self._fit(charts=True),
            "layers": self._show_layers,
            "find_action": lambda: self.doors.find_action(self.menu_actions),
            **ways_through(lambda: self.doors),
            **ways_of_view(lambda: self),
        }
        for tool in TOOLS:
            handlers[tool] = lambda _on=True, name=tool: self.use_tool(name)
        for tab in ("findings", "points", "plan", "permissions"):
            handlers[f"show_{tab}"] = lambda _on=True, name=tab: self._show_tab(name)
        return handlers

    # Map and profile

    def _join_map(self) -> None:
        from planner.desk.map_flight import MapFlight
        from planner.desk.map_view import MapView

        assert self.canvas is not None
        view = MapView(self.document, self.canvas, self)
        view.switches.update(self.settings.layer_switches)
        view.set_ring_radius(self.settings.ring_radius_m)
        self.map_view = view
        self.flight_marks = MapFlight(self.document, self.canvas, view)
        view.hovered.connect(self.pointing.hover)
        view.picked.connect(self.pointing.pick)
        view.toggled.connect(self.pointing.toggle)
        view.pointer.connect(
            lambda lon, lat: self.status.show_pointer(lon, lat, view.overlays.words_at(lon, lat))
        )
        view.overlays.allowed.asked.connect(self.doors.reasons.show_ceiling_at)
        view.overlays.start(view.switches)
        view.overlays.join(self.popup.seen)
        view.tool_wanted.connect(self.use_tool)
        view.layers_changed.connect(lambda: self.popup.show_layers(view.layers))
        self.popup.toggled.connect(view.show_layer)
        self.popup.toggled.connect(self._on_switch)
        self.popup.radius_changed.connect(view.set_ring_radius)
        self.hours.instant_changed.connect(view.show_instant)
        self.doors.join(view.figures)
        self.doors.show_on(view)
        self.doors.flown.way_changed.connect(view.show_way)
        self.doors.charts.coverage_chosen.connect(view.show_coverage)
        self.doors.charts.place_wanted.connect(view.fit_outline)
        self.doors.stands.place_chosen.connect(lambda place: view.show_stretch(None, None, place))
        self.doors.stands.area_chosen.connect(view.show_stand_area)
        view.canvas.view_changed.connect(self.doors.stands.see)
        self.doors.fixes.way_changed.connect(view.show_way)
        self.hands.join(view)
        self.popup.radius_changed.connect(self._on_radius)

    def _on_switch(self, layer_id: str, on: bool) -> None:
        switches = {**self.settings.layer_switches, layer_id: on}
        self._keep(attrs.evolve(self.settings, layer_switches=switches))

    def _on_strip(self, name: str, distance_m: float) -> None:
        from planner.desk.strip_questions import answer

        if self.side is not None:
            answer(self.side, self.document.assessment, name, distance_m)

    def _on_flight_strips(self, on: bool) -> None:
        self._on_switch(_STRIPS, on)
        if self.profile_view is not None:
            self.profile_view.panel.show_flight_strips(on)

    def _on_radius(self, radius_m: float) -> None:
        self._keep(attrs.evolve(self.settings, ring_radius_m=radius_m))

    def _keep(self, settings: Settings) -> None:
        self.settings = settings
        self.settings_changed.emit(self.settings)

    def _redress(self) -> None:
        self.dress()
        self.strip.dress()
        if self.profile_view is not None:
            self.profile_view.panel.plot.dress()

    def bring_profile(self) -> None:
        """Put the profile into its place."""
        from planner.desk.profile.panel import ProfilePanel
        from planner.desk.profile_view import ProfileView

        if self._closing or self.profile_view is not None:
            return
        panel = ProfilePanel()
        self.profile_view = ProfileView(self.document, panel, self)
        fill(self.profile_place, panel)
        self.profile_view.hovered.connect(self.pointing.hover_profile)
        panel.ceiling_asked.connect(self.doors.reasons.show_ceiling)
        panel.sight_asked.connect(self.doors.crossings.show_at)
        panel.strip_asked.connect(self._on_strip)
        panel.strip_pointed.connect(self.readout.point_at_strip)
        panel.show_flight_strips(self.menu_actions["flight_strips"].isChecked())
        self.profile_view.picked.connect(lambda index: self.pointing.pick("path", index, from_profile=True))

    def bring_side(self) -> None:
        """Put findings, points, forms and permissions into their place."""
        from planner.desk.begin.begin_desk import BeginDesk
        from planner.desk.side_panel import SidePanel

        if self._closing or self.side is not None:
            return
        side = SidePanel(self.document, self)
        self.side = side
        self.begin = BeginDesk(self.document, self.commands, side.findings.begin, self, self.canvas)
        self.begin.place_found.connect(self._go_to_place)
        fill(self.side_place, side)
        side.path_wanted.connect(lambda: self.use_tool("path"))
        side.action_wanted.connect(lambda key: self.menu_actions[key].trigger())
        side.findings.why_wanted.connect(self.doors.reasons.show_rule)
        self.doors.reasons.cure_wanted.connect(side.go_to_cure)
        side.fix_wanted.connect(self.doors.fixes.present)
        side.plan.restrictions.wanted.connect(self.doors.restrictions.enter)
        side.plan.beneath.wanted.connect(self.doors.beneath.enter)
        side.plan.beneath.edit_wanted.connect(self.doors.beneath.edit)
        side.plan.restrictions.edit_wanted.connect(self.doors.restrictions.edit)
        self.commands.begun.connect(lambda: side.go_to("findings"))
        self.pointing.join(side)
        side.permissions.request_wanted.connect(self.doors.requests.write)

    # Actions

    def _show_tab(self, name: str) -> None:
        if self.side is not None:
            self.side.go_to(name)

    def _on_cause(self, finding: "Finding") -> None:
        self._show_tab("findings")
        if self.side is not None:
            self.side.findings.pick(finding)
        self.pointing.show_finding(finding)

    def _on_need(self, need: "PermissionNeed") -> None:
        self._show_tab("permissions")
        self.pointing.show_need(need)

    def _show_form(self, section: str) -> None:
        if self.side is not None:
            self.side.go_to_form(section)

    def use_tool(self, name: str) -> None:
        """Choose a drawing tool."""
        self.menu_actions[name].setChecked(True)
        if self.map_view is not None:
            self.map_view.set_tool(name)

    def _on_follow(self, on: bool) -> None:
        from planner.plan.geometry import LegShape

        if self.map_view is not None:
            self.map_view.hand.leg_shape = LegShape.FOLLOW_GROUND if on else LegShape.STRAIGHT

    def _on_role(self, role: "Role") -> None:
        self.strip.show_role(role)
        if self.map_view is not None:
            self.map_view.hand.choose_role(role)
        self.use_tool("crew")

    def _fit(self, *, charts: bool) -> None:
        if self.map_view is not None:
            (self.map_view.fit_charts if charts else self.map_view.fit_plan)()

    def _go_to_place(self, place: "Place") -> None:
        if self.map_view is not None:
            self.map_view.go_to(place)

    def _chosen_points(self) -> tuple[int, ...]:
        return () if self.side is None else self.side.points.chosen_rows

    def _marker_m(self) -> float | None:
        return None if self.profile_view is None else self.profile_view.panel.marker_m

    def _delete(self) -> None:
        if self.side is not None and self.side.points.table.hasFocus():
            self.side.points.delete_chosen()
        elif self.map_view is not None:
            self.map_view.delete_chosen()

    def _show_layers(self) -> None:
        self.popup.show_beside(self.strip.buttons["layers"], self)

    # Title, undo, closing

    def _refresh_title(self) -> None:
        document = self.document
        draft = " – DRAFT" if document.path is not None and document.plan.saved_as_draft else ""
        self.setWindowTitle(f"{document.title}[*]{draft} – Lowline")
        self.setWindowModified(document.dirty)

    def _refresh_undo(self) -> None:
        stack = self.document.undo_stack
        for key, words, can in (
            ("undo", stack.undoText(), stack.canUndo()),
            ("redo", stack.redoText(), stack.canRedo()),
        ):
            action: QAction = self.menu_actions[key]
            action.setEnabled(can)
            name = key.capitalize()
            action.setText(f"{name}: {words[:1].lower()}{words[1:]}" if can and words else name)
            action.setIconText(name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Escape and Enter reach a figure in the making, wherever the focus is."""
        if self.map_view is not None and event.key() == Qt.Key.Key_Escape:
            self.map_view.cancel()
        elif self.map_view is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.map_view.finish()
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved work, then stop everything in the background."""
        if self._closing or not self._moved_in:
            self._closing = True
            event.accept()
            return
        event.ignore()
        self.commands.after_keeping(self._close_for_good)
        event.setAccepted(self._closing)

    def _close_for_good(self) -> None:
        self.stop()
        self.close()

    def stop(self) -> None:
        """Stop everything in the background, and let nothing more move in."""
        self._closing = True
        if not self._moved_in:
            return
        self.commands.close()
        self.doors.close()
        self.hands.close()
        self.hours.close()
        if self.map_view is not None:
            self.map_view.close()
        self.document.close()
