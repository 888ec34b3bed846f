"""One marker and one choice, the same on map, profile, table and bottom line."""

from typing import TYPE_CHECKING, Protocol

from planner.desk.map_extent import track_position

if TYPE_CHECKING:
    from planner.desk.document import Document
    from planner.desk.doors import Doors
    from planner.desk.hour.hour_desk import HourDesk
    from planner.desk.map_view import MapView
    from planner.desk.profile_view import ProfileView
    from planner.desk.readout_line import ReadoutLine
    from planner.desk.side_panel import SidePanel
    from planner.desk.status_line import StatusLine
    from planner.geo.place import Place
    from planner.permission.need import PermissionNeed
    from planner.rules.finding import Finding


class PointedAt(Protocol):
    """The parts of a window that share the marker and the choice; some come later than others."""

    document: "Document"
    hours: "HourDesk"
    status: "StatusLine"
    readout: "ReadoutLine"
    doors: "Doors"
    map_view: "MapView | None"
    profile_view: "ProfileView | None"
    side: "SidePanel | None"

    def use_tool(self, name: str) -> None:
        """Choose a drawing tool."""


class Pointing:
    """Hands what one part of the window points at to all the others."""

    def __init__(self, window: PointedAt) -> None:
        self._window = window

    def join(self, side: "SidePanel") -> None:
        """Listen to what the panel at the side points at."""
        side.plan.beneath.shown.connect(self.show_beneath)
        side.plan.restrictions.shown.connect(self.show_restriction)
        side.findings.chosen.connect(self.show_finding)
        side.points.point_chosen.connect(self.pick_row)
        side.permissions.place_wanted.connect(self.show_need)

    def hover(self, distance_m: float | None) -> None:
        """Mark a place on the path [m]; None: the moment looked at, or nothing."""
        hours = self._window.hours
        hours.point_at(distance_m)
        self.mark(hours.aircraft_m if distance_m is None else distance_m)

    def hover_profile(self, distance_m: float | None) -> None:
        """Mark a place pointed at in the profile; the bottom line tells it, not where the map was left."""
        self.hover(distance_m)
        track = self._window.document.assessment.track
        if distance_m is None or track is None:
            self._window.status.clear_pointer()
        else:
            self._window.status.show_pointer(*track_position(track, distance_m))

    def mark(self, distance_m: float | None) -> None:
        """Put the one marker at a distance along the path [m], everywhere."""
        window = self._window
        window.readout.show_at(distance_m)
        window.doors.crossings.follow(distance_m)
        if window.profile_view is not None:
            window.profile_view.panel.set_marker(distance_m)
        if window.map_view is not None:
            window.map_view.show_distance(distance_m)

    def pick(self, part: str, index: int, *, from_profile: bool = False) -> None:
        """Choose a point of a part of the plan."""
        window = self._window
        row = index if part == "path" else -1
        if window.side is not None:
            window.side.points.choose(row)
        if window.profile_view is not None and not from_profile:
            window.profile_view.choose(row if row >= 0 else None)
        if window.map_view is not None and from_profile:
            window.map_view.choose(part, index)

    def pick_row(self, row: int) -> None:
        """Choose the points of the rows of the table that are chosen; `row` leads them, -1: none."""
        window = self._window
        rows = window.side.points.chosen_rows if window.side is not None else (row,)
        if window.map_view is not None:
            if row >= 0:
                window.map_view.choose("path", row, rows)
            elif window.map_view.chosen_part == "path":
                window.map_view.choose("", -1)
        if window.profile_view is not None:
            window.profile_view.choose(row if row >= 0 else None, rows)

    def pick_rows(self, rows: tuple[int, ...]) -> None:
        """Choose these points of the path and no others: what an edit has just made."""
        if self._window.side is not None:
            self._window.side.points.choose_rows(rows)

    def toggle(self, part: str, index: int) -> None:
        """Take a point of the path in among the chosen ones, or out; anything else is chosen alone."""
        if part == "path" and self._window.side is not None:
            self._window.side.points.toggle(index)
        elif self._window.map_view is not None:
            self._window.map_view.choose(part, index)
            self.pick(part, index)

    def show_finding(self, finding: "Finding | None") -> None:
        """Show where a finding lies."""
        if self._window.map_view is not None:
            self._window.map_view.show_finding(finding)
        if finding is not None and finding.from_m is not None:
            self.hover(finding.from_m)

    def show_where(self, from_m: float | None, to_m: float | None, place: "Place | None") -> None:
        """Show a stretch of the path [m], or a place."""
        if self._window.map_view is not None:
            self._window.map_view.show_stretch(from_m, to_m, place)
        if from_m is not None:
            self.hover(from_m)

    def show_restriction(self, index: int) -> None:
        """Show a temporary restriction, ready to be moved."""
        if self._window.map_view is not None:
            self._window.use_tool("move")
            self._window.map_view.show_restriction(index)

    def show_beneath(self, index: int) -> None:
        """Show something beneath, ready to be moved."""
        if self._window.map_view is not None:
            self._window.use_tool("move")
            self._window.map_view.show_beneath(index)

    def show_need(self, need: "PermissionNeed") -> None:
        """Show which part of the path needs a permission."""
        if self._window.map_view is not None:
            self._window.map_view.show_stretch(need.from_m, need.to_m, need.place)
