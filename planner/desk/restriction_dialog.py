"""A form for one temporary restriction: outline, heights, times, and where it is written."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, TextField
from planner.desk.form_dialog import EditDialog
from planner.desk.forms.moment_field import MomentField
from planner.desk.positions import parse_corners, parse_place, place_text
from planner.desk.quantities import HEIGHT, LENGTHS, parse, words
from planner.geo.heights import Height, height_of, reference_of
from planner.geo.place import Place
from planner.plan.edits import AddRestriction, Edit, ReplaceRestriction
from planner.plan.restrictions import TemporaryRestriction
from planner.units import NAUTICAL_MILE_M

_CIRCLE, _RING = "circle", "ring"
_SHAPES = {_CIRCLE: "Circle", _RING: "Outline with corners"}
_ABOVE = {"above-ground": "above ground", "above-sea-level": "above sea level"}
_RADII = {**LENGTHS, "NM": NAUTICAL_MILE_M}


class RestrictionDialog(EditDialog):
    """Enters a restriction, or changes the one at `index` of the plan; says in one line what is wrong."""

    def __init__(self, document: Document, index: int | None = None, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self._index = index
        self._make_fields()
        self.lay_out(
            manual="windows/restriction",
            heading="Temporary restriction",
            why="As the notice says it",
            says="As the notice says it. What is left empty counts as widest. Nothing here is looked up.",
            rows=(
                (self.name, self.notice),
                (self.shape,),
                (self.centre, self.radius),
                (self.corners,),
                (self.floor, self.floor_above),
                (self.top, self.top_above),
                (self.begin, self.end),
            ),
            keep="Add it" if index is None else "Change it",
            width=500,
        )
        self.shape.committed.connect(self._show_fitting)
        if index is not None:
            self._show(document.plan.restrictions[index])
        self._show_fitting()
        self.name.edit.setFocus()

    def show_points(self, points: tuple[Place, ...]) -> None:
        """Fill in what was drawn: one point is the centre of a circle."""
        self.shape.show_value(_CIRCLE if len(points) == 1 else _RING)
        if len(points) == 1:
            self.centre.edit.setText(place_text(points[0]))
        else:
            self.corners.edit.setText("; ".join(map(place_text, points)))
            self.corners.edit.setCursorPosition(0)
        self._show_fitting()

    def restriction(self) -> TemporaryRestriction:
        """Return what is typed.

        Raises
        ------
        PlanError
            If it is no restriction.
        """
        round_one = self.shape.value() == _CIRCLE
        return TemporaryRestriction(
            name=str(self.name.value()),
            centre=self.centre.value() if round_one else None,
            radius_m=self.radius.value() if round_one else None,
            ring=None if round_one else self.corners.value(),
            floor=_height(self.floor, self.floor_above),
            top=_height(self.top, self.top_above),
            from_utc=self.begin.value(),
            to_utc=self.end.value(),
            notice=str(self.notice.value()),
        )

    def edit(self) -> Edit:
        """Return what is typed as an edit; see there for what it raises."""
        restriction = self.restriction()
        if self._index is None:
            return AddRestriction(restriction)
        return ReplaceRestriction(self._index, restriction)

    def _make_fields(self) -> None:
        self.name = TextField("Name", "What it is called", example="air show", blank="")
        self.notice = TextField("Notice", "Number of the notice it is written in", blank="")
        self.shape = ChoiceField("Bounded by", "How the notice bounds it", _SHAPES, may_be_unset=False)
        self.centre = TextField(
            "Centre",
            "Latitude first, as the notice writes it",
            parse_place,
            example="374843N1501438W",
        )
        self.radius = TextField(
            "Radius",
            "Nautical miles unless you type km or m",
            lambda text: parse(text, _RADII, "NM", "radius"),
            example="3 NM",
        )
        self.corners = TextField(
            "Corners",
            "Latitude first, parted by semicolons",
            parse_corners,
            example="37.81 -150.24; …",
        )
        self.floor = TextField(
            "From height",
            "{Height}; empty: from the ground",
            _feet,
            example="empty: from the ground",
        )
        self.floor_above = _measured_from()
        self.top = TextField("Up to height", "{Height}; empty: without a top", _feet, example="empty: no top")
        self.top_above = _measured_from()
        window = self._document.plan.window
        # Notices give their hours in UTC: the example has it behind them.
        self.begin = MomentField("From", "Empty: already", window, example="2026-11-25 20:00 UTC")
        self.end = MomentField("Until", "Empty: for ever", window, example="2026-11-25 23:00 UTC")

    def _show(self, restriction: TemporaryRestriction) -> None:
        self.name.edit.setText(restriction.name)
        self.notice.edit.setText(restriction.notice)
        if restriction.centre is not None:
            self.show_points((restriction.centre,))
            metres = restriction.radius_m
            self.radius.show_text(words(metres, "NM", _RADII, 3), metres)
        else:
            self.show_points(restriction.ring or ())
        for height, field, above in (
            (restriction.floor, self.floor, self.floor_above),
            (restriction.top, self.top, self.top_above),
        ):
            if height is not None:
                field.show_text(words(height.m, HEIGHT, LENGTHS, 1), height.m)
                above.show_value(reference_of(height))
        self.begin.show_moment(restriction.from_utc)
        self.end.show_moment(restriction.to_utc)

    def _show_fitting(self) -> None:
        round_one = self.shape.value() == _CIRCLE
        for field in (self.centre, self.radius):
            field.setVisible(round_one)
        self.corners.setVisible(not round_one)


def _measured_from() -> ChoiceField:
    return ChoiceField("Measured", "What the notice measures from", _ABOVE, may_be_unset=False)


def _feet(text: str) -> float:
    return parse(text, LENGTHS, HEIGHT, "height")


def _height(field: TextField, above: ChoiceField) -> Height | None:
    metres = field.value()
    return None if metres is None else height_of(above.value(), metres)
