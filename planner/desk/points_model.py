"""The path's points as a table: typed heights left, what the check says of them right."""

import math
from collections.abc import Iterable

import attrs
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QFont

from planner.assessment import Assessment
from planner.briefing.never_exceed_words import (
    NOTE,
    begun_words,
    figures_on,
    goggles_words,
    leg_words,
    over_words,
    short_unit,
)
from planner.ceiling.never_exceed import NeverExceed, readout_unit
from planner.desk.document import Document
from planner.desk.points_text import parse_height
from planner.desk.saying import bare, in_use, limit_words, planned_words
from planner.errors import PlanError
from planner.geo.heights import Height, height_of, reference_of
from planner.plan.edits import SetLegShape, SetPointHeight
from planner.plan.geometry import LegShape
from planner.saying import HEIGHTS
from planner.track.track import Track
from planner.wording import UNKNOWN

Index = QModelIndex | QPersistentModelIndex

POINT, HEIGHT, REFERENCE, LEG, AGL, LAUNCH, AMSL, CEILING, ROOM, NEVER = range(10)
HEADERS = ("", "Height", "above", "Leg", "AGL", "Launch", "AMSL", "Limit", "Room", "Never")
_IN_HEIGHTS = frozenset({HEIGHT, AGL, AMSL, CEILING, ROOM})
_AS_THE_GOGGLES = frozenset({LAUNCH, NEVER})
TIPS = (
    "The point's number along the path",
    "The height you plan, in {unit} unless you type another unit or kind (120 ft, 36 m, 1200 msl)",
    "What that height is measured from",
    "How the aircraft gets to the next point: straight, or following the ground",
    "Above the ground straight below [{unit}], rounded up",
    "Above the launch point, as the goggles show it: in the unit of the readout, feet until that is said",
    "Above mean sea level [{unit}], rounded up",
    "Highest lawful height there with the permissions on record, above ground [{unit}], rounded down",
    "From the planned height up to that limit [{unit}], rounded down; a minus sign means above it, "
    "or under the ground by so much",
    "Never to be exceeded on the leg that begins here, as the goggles show it and in their unit; "
    "↓: it falls along the leg; bold: the leg is planned above it",
)
LEG_WORDS = {LegShape.STRAIGHT: "straight", LegShape.FOLLOW_GROUND: "follow"}
REFERENCE_WORDS = {"above-ground": "ground", "above-launch": "launch", "above-sea-level": "sea"}
_TINY = 1e-6
_LONGEST = 5
_ALL_ROWS = 100
_EDITABLE = frozenset({LEG, HEIGHT, REFERENCE})
# Made once: a choice of all asks for each cell's.
_TO_READ = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
_TO_EDIT = _TO_READ | Qt.ItemFlag.ItemIsEditable


@attrs.frozen
class PointFigures:
    """What the check says at one point [m], None where it can't be known."""

    agl_m: float | None = None
    above_launch_m: float | None = None
    amsl_m: float | None = None
    ceiling_agl_m: float | None = None
    room_m: float | None = None


def figures_of(answer: Assessment) -> list[PointFigures]:
    """Return the figures at each point of the plan's path."""
    track, profile = answer.track, answer.profile
    if track is None or profile is None:
        return [PointFigures() for _ in answer.plan.path]
    ground_m, planned_m = (
        heights[track.point_sample] for heights in (track.ground_amsl_m, track.planned_amsl_m)
    )
    ceiling_m = _lowest_at_points(track, profile.ceiling_amsl_m)
    each = (
        planned_m - ground_m,
        planned_m - track.launch_ground_amsl_m,
        planned_m,
        ceiling_m - ground_m,
        np.where(planned_m < ground_m, planned_m - ground_m, ceiling_m - planned_m),
    )
    values = np.column_stack(each)
    known = values.astype(object)
    known[np.isnan(values)] = None
    return [PointFigures(*row) for row in known.tolist()]


def _lowest_at_points(track: Track, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the lowest value at each point, before and after a jump there; NaN if any is."""
    at_m = track.distance_m[track.point_sample]
    first = np.searchsorted(track.distance_m, at_m, "left")
    after = np.searchsorted(track.distance_m, at_m, "right")
    bounds = np.stack([first, after], axis=1).ravel()
    # One more value, since a range may end with the last; what lies between two ranges is left out.
    return np.minimum.reduceat(np.append(values, np.nan), bounds)[::2]


class PointsModel(QAbstractTableModel):
    """One row a point. Edits go to the document; what it refuses is told in one line."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._answer = document.assessment
        self._made: list[PointFigures] | None = None
        self._rows = 0
        self._in_goggles: tuple[str, ...] | None = None
        self._never: dict[int, tuple[NeverExceed, ...]] = {}
        self.together = _alone
        """Which rows take what is typed into one of them."""
        document.assessed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Take over the latest judgement."""
        rows = len(self._document.plan.path)
        self._in_goggles, self._never = None, {}
        self._answer, self._made = self._document.assessment, None
        if rows != self._rows:
            self.beginResetModel()
            self._rows = rows
            self.endResetModel()
        elif rows:
            self.dataChanged.emit(self.index(0, 0), self.index(rows - 1, NEVER))

    @property
    def _figures(self) -> list[PointFigures]:
        """The check's figures, made when they are asked for: the table is hidden more often than not."""
        if self._made is None:
            made = figures_of(self._answer)
            self._made = made if len(made) == self._rows else [PointFigures() for _ in range(self._rows)]
        return self._made

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Return the number of points."""
        return 0 if parent.isValid() else self._rows

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Return the number of columns."""
        return 0 if parent.isValid() else len(HEADERS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Return a column's name, or what it means."""
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._heading(section)
        if role == Qt.ItemDataRole.ToolTipRole:
            return _told(section)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(section)
        return None

    def _heading(self, column: int) -> str:
        """Return a column's name, and under it the unit of its figures: the goggles have their own."""
        if column in _IN_HEIGHTS:
            return f"{HEADERS[column]}\n{in_use().height}"
        if column in _AS_THE_GOGGLES:
            return f"{HEADERS[column]}\n{short_unit(readout_unit(self._document.plan))}"
        return HEADERS[column]

    def longest(self, column: int) -> tuple[str, ...]:
        """Return words of which one is about the longest of a column, without going through all its cells."""
        match column:
            case 0:
                return (str(max(self._rows, 10)),)
            case 1:
                heights = {one.height.m: one.height for one in self._document.plan.path}
                return _longest(map(_typed, heights.values()))
            case 2:
                return tuple(REFERENCE_WORDS.values())
            case 3:
                return tuple(LEG_WORDS.values())
            case 5:
                # Of thousands of points many show the same there.
                return _longest(map(self._shown_there, dict.fromkeys(self._all_goggles()))) or ("?",)
            case 9:
                return _longest(self._never_shown(row) for row in self._telling_rows())
        known = [figure for one in self._figures if (figure := _figure(one, column)) is not None]
        say = planned_words if column in (AGL, AMSL) else limit_words
        return tuple(_bare(say(one)) for one in (min(known), max(known))) if known else ()

    def _telling_rows(self) -> Iterable[int]:
        """Return the rows among which the longest figures are: of many the lowest and highest limits."""
        if self._rows <= _ALL_ROWS:
            return range(self._rows)
        limits_m = [(one.amsl_m or 0.0) + (one.room_m or 0.0) for one in self._figures]
        by_limit = sorted(range(self._rows), key=lambda row: limits_m[row])
        return by_limit[: _ALL_ROWS // 2] + by_limit[-_ALL_ROWS // 2 :]

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Let legs, heights and their kinds be edited."""
        column = index.column()
        last_leg = column == LEG and index.row() == self._rows - 1
        return _TO_EDIT if column in _EDITABLE and not last_leg else _TO_READ

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return a cell's words, or what an editor starts with."""
        if not index.isValid() or index.row() >= len(self._document.plan.path):
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(index.column())
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(index)
        if role == Qt.ItemDataRole.FontRole:
            return self._font(index)
        if role == Qt.ItemDataRole.EditRole:
            return self._edited(index)
        if role == Qt.ItemDataRole.DisplayRole:
            return self._shown(index)
        return None

    def setData(self, index: Index, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Change the plan."""
        if role != Qt.ItemDataRole.EditRole:
            return False
        setters = {LEG: self._set_leg, HEIGHT: self._set_height, REFERENCE: self._set_reference}
        try:
            return setters[index.column()](index.row(), str(value))
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return False

    def _shown(self, index: Index) -> str:
        row, column = index.row(), index.column()
        point, figures = self._document.plan.path[row], self._figures[row]
        match column:
            case 0:
                return str(row + 1)
            case 1:
                return _typed(point.height)
            case 2:
                return REFERENCE_WORDS[reference_of(point.height)]
            case 3:
                return "" if row == self._rows - 1 else LEG_WORDS[point.leg.shape]
            case 5:
                return self._goggles(row)
            case 9:
                return self._never_shown(row)
        say = planned_words if column in (AGL, AMSL) else limit_words
        return _bare(say(_figure(figures, column)))

    def _goggles(self, row: int) -> str:
        every = self._all_goggles()
        return self._shown_there(every[row]) if row < len(every) else "?"

    def _all_goggles(self) -> tuple[str, ...]:
        # Only when looked at: a drag judges many times a second.
        if self._in_goggles is None:
            self._in_goggles = goggles_words(self._document.assessment)
        return self._in_goggles

    def _shown_there(self, words: str) -> str:
        """Return what the goggles show, with its unit where that is not the unit of the columns beside it."""
        other = short_unit(readout_unit(self._document.plan)) != in_use().height
        return words if other else _bare(words)

    def _never_of(self, row: int) -> tuple[NeverExceed, ...]:
        if row not in self._never:
            self._never[row] = figures_on(self._document.assessment, row)
        return self._never[row]

    def _never_shown(self, row: int) -> str:
        figures = self._never_of(row)
        return self._shown_there(begun_words(figures, readout_unit(self._document.plan))) if figures else ""

    def _edited(self, index: Index) -> str:
        point = self._document.plan.path[index.row()]
        if index.column() == LEG:
            return point.leg.shape.value
        if index.column() == REFERENCE:
            return reference_of(point.height)
        return _typed(point.height).replace(",", "")

    def _font(self, index: Index) -> QFont | None:
        row, room = index.row(), self._figures[index.row()].room_m
        over_ceiling = index.column() == ROOM and room is not None and room < 0
        over_figure = index.column() == NEVER and bool(
            over_words(self._document.assessment, self._never_of(row))
        )
        if not (over_ceiling or over_figure):
            return None
        font = QFont()
        font.setBold(True)
        return font

    def _tip(self, index: Index) -> str:
        if self._shown(index) == "?":
            return f"{_told(index.column())}. Not known here: no ground height, no launch point, or no charts"
        if index.column() == NEVER and (figures := self._never_of(index.row())):
            words = leg_words(figures, readout_unit(self._document.plan))
            over = over_words(self._document.assessment, figures)
            return f"{TIPS[NEVER]}: {words}{over}.\nAll of it {NOTE}."
        name = self._document.plan.path[index.row()].name
        return f"{_told(index.column())}{f'. Named: {name}' if name else ''}{self._flown(index.row())}"

    def _flown(self, row: int) -> str:
        """Say in which figure a point is flown."""
        key, figures = self._document.plan.path[row].figure, self._document.plan.figures
        return "".join(f". Flown in: {one.called}" for one in figures if one.key == key)

    def _set_height(self, row: int, text: str) -> bool:
        height = self._document.plan.path[row].height
        rows = self.together(row)
        if rows == (row,) and text.strip() == _typed(height).replace(",", ""):
            return False
        typed = parse_height(text, reference_of(height), f"height of point {row + 1}")
        return self._document.try_edit(SetPointHeight(rows, typed))

    def _set_reference(self, row: int, reference: str) -> bool:
        height, figures = self._document.plan.path[row].height, self._figures[row]
        if reference == reference_of(height):
            return False
        same_height = {
            "above-ground": figures.agl_m,
            "above-launch": figures.above_launch_m,
            "above-sea-level": figures.amsl_m,
        }
        metres = same_height.get(reference)
        if metres is None:
            metres = height.m
            self._document.message.emit(
                f"Point {row + 1}: its height can't be converted here, so the figure was kept; check it"
            )
        return self._document.try_edit(SetPointHeight((row,), height_of(reference, metres)))

    def _set_leg(self, row: int, shape: str) -> bool:
        last = len(self._document.plan.path) - 1
        rows = tuple(at for at in self.together(row) if at < last)
        return self._document.try_edit(SetLegShape(rows, LegShape(shape)))


def _alone(row: int) -> tuple[int, ...]:
    return (row,)


def _typed(height: Height) -> str:
    """Return a height as it is planned, to the tenth above: to the whole one above, it is AGL or AMSL."""
    tenths = math.ceil(height.m / HEIGHTS[in_use().height] * 10 - _TINY)
    return f"{tenths / 10:,.1f}".removesuffix(".0")


def _figure(figures: PointFigures, column: int) -> float | None:
    """Return the figure of a column in the unit of heights [m]."""
    return {
        AGL: figures.agl_m,
        AMSL: figures.amsl_m,
        CEILING: figures.ceiling_agl_m,
        ROOM: figures.room_m,
    }[column]


def _longest(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(words, key=len)[-_LONGEST:])


def _told(column: int) -> str:
    return TIPS[column].replace("{unit}", in_use().height)


def _bare(words: str) -> str:
    return "?" if words == UNKNOWN else bare(words)


def _alignment(column: int) -> int:
    side = Qt.AlignmentFlag.AlignLeft if column in (LEG, REFERENCE) else Qt.AlignmentFlag.AlignRight
    return int(side | Qt.AlignmentFlag.AlignVCenter)
