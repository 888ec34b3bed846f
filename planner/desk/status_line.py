"""The bottom line: what the answer rests on, messages, and where the pointer is."""

from PySide6.QtCore import QElapsedTimer, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QWidget

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.plain_label import PlainLabel
from planner.desk.top_bar import ElidedLabel
from planner.desk.words import CHECK_FAILED
from planner.geo.place import Place
from planner.rules.data_status import DataStatus
from planner.rules.unknowns import Weight
from planner.wording import position
from planner.world.currency import LayerState
from planner.world.layers import LayerName

_LOOKED_FOR = "The charts at hand are being looked for"
_MESSAGE_MS, _SAID_BEFORE_MS = 9000, 400
_SPACING_PX, _EDGE_PX = 18, 14
LAYER_WORDS = {
    LayerName.TERRAIN: "Terrain",
    LayerName.CLASS_AIRSPACE: "Airspace",
    LayerName.SPECIAL_USE: "Special use",
    LayerName.FACILITY_MAP: "Cells",
    LayerName.SECURITY: "Security",
    LayerName.STADIUMS: "Stadiums",
    LayerName.STADIUM_EVENTS: "Stadium events",
    LayerName.FIXED_SITES: "Fixed sites",
    LayerName.EXEMPT_AREAS: "Exempt areas",
    LayerName.PARK_LANDS: "Closed lands",
    LayerName.OBSTACLES: "Structures",
    LayerName.AERODROMES: "Aerodromes",
    LayerName.RUNWAYS: "Runways",
    LayerName.ROADS: "Roads",
    LayerName.BUILDINGS: "Buildings",
    LayerName.GATHERING_PLACES: "Gathering places",
}
_SHOWN_FIRST = (LayerName.CLASS_AIRSPACE, LayerName.FACILITY_MAP, LayerName.TERRAIN, LayerName.OBSTACLES)


class StatusLine(QFrame):
    """Data and their dates at the left, beside them a message while it is fresh, the pointer at the right."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("status_line")
        self._document = document
        self.data = ElidedLabel(parent=self)
        self.message = ElidedLabel(parent=self)
        self.message.setProperty("speaking", True)
        self.message.hide()
        self.pointer = PlainLabel(self)
        self.pointer.setObjectName("pointer")
        self._forget = QTimer(self)
        self._forget.setSingleShot(True)
        self._forget.setInterval(_MESSAGE_MS)
        self._forget.timeout.connect(self._end_message)
        self._since = QElapsedTimer()
        row = QHBoxLayout(self)
        row.setContentsMargins(_EDGE_PX, 4, _EDGE_PX, 4)
        row.setSpacing(_SPACING_PX)
        row.addWidget(self.data, 2)
        row.addWidget(self.message, 3)
        row.addWidget(self.pointer)
        self._work = ""
        self._worded: tuple[object, tuple[str, str]] = None, ("", "")
        document.message.connect(self.say)
        document.long_work.connect(self.say_work)
        document.assessed.connect(self.show_data)
        document.plan_changed.connect(self._on_edit)
        self.show_data()

    def say(self, text: str) -> None:
        """Show a message for a while: beside the data, or in their place where both have no room."""
        self.message.set_whole_text(f"{text[:1].upper()}{text[1:]}")
        self.message.show()
        self._share_room()
        self._forget.start()
        self._since.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the room anew."""
        super().resizeEvent(event)
        self._share_room()

    def _share_room(self) -> None:
        free = self.width() - self.pointer.sizeHint().width() - 2 * (_SPACING_PX + _EDGE_PX)
        row = self.layout()
        if isinstance(row, QHBoxLayout):
            for place, label in enumerate((self.data, self.message)):
                row.setStretch(place, label.sizeHint().width())
        both = self.data.sizeHint().width() + self.message.sizeHint().width() <= free
        self.data.setVisible(both or self.message.isHidden())

    def _end_message(self) -> None:
        self.message.hide()
        self.data.show()

    def _on_edit(self) -> None:
        """Take back what was said of an edit before this one; what this one says itself stays."""
        if not self.message.isHidden() and self._since.hasExpired(_SAID_BEFORE_MS):
            self._forget.stop()
            self._end_message()

    def say_work(self, text: str) -> None:
        """Show what a worker is busy with, for as long as it is; '' at its end."""
        said_last = self.message.whole_text == self._work
        self._work = text
        if text:
            self.say(text)
            self._forget.stop()
        elif said_last:
            self._end_message()

    def show_data(self) -> None:
        """Show which data the answer rests on."""
        unread = self._document.unread
        failed = self._document.waits_for == CHECK_FAILED
        looked_for = not (unread or self._document.ever_read)
        nothing_told = self._document.waits_for if unread or failed else ""
        line, lines = self._data_words()
        words = _LOOKED_FOR if looked_for else nothing_told or line
        if words != self.data.whole_text:
            self.data.set_whole_text(words)
        told = "" if nothing_told else lines
        if told != self.data.toolTip():
            self.data.setToolTip(told)

    def _data_words(self) -> tuple[str, str]:
        """Return what is said of the data; while a point is dragged they mostly stand as they did."""
        answer = self._document.assessment
        data = tuple((one.layer, one.state, one.weight, one.record) for one in answer.data)
        if data != self._worded[0]:
            self._worded = data, (data_line(answer), data_lines(answer))
        return self._worded[1]

    def show_pointer(self, lon_deg: float, lat_deg: float, words: str = "") -> None:
        """Show a position, and before it what is known of that place."""
        where = position(Place(max(-180.0, min(180.0, lon_deg)), max(-90.0, min(90.0, lat_deg))))
        self.pointer.setText(f"{words}     {where}" if words else where)

    def clear_pointer(self) -> None:
        """Tell no position: nothing is pointed at."""
        self.pointer.setText("")


def data_line(answer: Assessment) -> str:
    """Return in one line which sets and restricting data the answer was made by, with states and dates.

    What can't be relied on comes first: the end of the line is cut where there is little room.
    """
    by_layer = {status.layer: status for status in answer.data}
    shown = [by_layer[name] for name in _SHOWN_FIRST if name in by_layer and by_layer[name].record]
    if not shown:
        return "No charts and no terrain: nothing is known of this place"
    lacking = [
        status
        for status in answer.data
        if status not in shown and status.weight is Weight.RESTRICTING and status.state is not LayerState.OK
    ]
    sets = dict.fromkeys(status.record.chart_set for status in shown if status.record)
    whose = [f"By {' and '.join(names)}"] if (names := [name for name in sets if name]) else []
    relied_on = [status for status in shown if status.state is LayerState.OK]
    doubtful = [status for status in shown if status not in relied_on]
    return "     ".join([*whose, *map(_status_words, [*lacking, *doubtful, *relied_on])])


def data_lines(answer: Assessment) -> str:
    """Return all data, a line each."""
    return "\n".join(_status_words(status, with_publisher=True) for status in answer.data)


def _status_words(status: DataStatus, *, with_publisher: bool = False) -> str:
    name = LAYER_WORDS.get(status.layer) or status.layer.value.replace("_", " ").capitalize()
    record = status.record
    if record is None:
        return f"{name}: not given"
    dates = [f"{at.day} {at:%b %Y}" if at else "" for at in (record.effective_utc, record.expires_utc)]
    if dates[0] and dates[1]:
        when = f"{dates[0]} to {dates[1]}"
    elif dates[0] or dates[1]:
        when = f"from {dates[0]}" if dates[0] else f"until {dates[1]}"
    else:
        when = "no date"
    whose = f" · {record.publisher}" if with_publisher else ""
    state = "" if status.state is LayerState.OK else f" ({status.state.value.replace('-', ' ')})"
    return f"{name} {when}{state}{whose}"
