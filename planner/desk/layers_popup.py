"""Which layers the map shows, with a sample of each as it is drawn, and the advisory rings."""

from typing import Any

from PySide6.QtCore import QLineF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.desk import palette
from planner.desk.allowed_legend import AllowedLegend
from planner.desk.manual.address import lead_to
from planner.desk.map_allowed import ALLOWED
from planner.desk.map_seen import SEEN_LAYER
from planner.desk.map_style import LOOKS, RINGS, LayerLook
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import law
from planner.desk.seen_legend import SeenLegend
from planner.settings import Settings
from planner.units import STATUTE_MILE_M

_SAMPLE = QSize(38, 16)


class LineSample(QWidget):
    """A short piece of a layer, drawn as on the map."""

    def __init__(self, style: dict[str, Any], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self.setFixedSize(_SAMPLE)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw fill, halo, line or point."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        # The map keeps its light paper, whatever the desk wears.
        painter.fillRect(self.rect(), QColor(palette.LIGHT.paper))
        box = QRectF(self.rect()).adjusted(2, 3, -2, -3)
        if self._style.get("fill"):
            fill = QColor(self._style["fill"])
            fill.setAlphaF(max(0.12, self._style.get("fill_opacity", 0.1)))
            painter.fillRect(box, fill)
        middle = box.center().y()
        if self._style.get("marker"):
            self._draw_point(painter, box)
        else:
            if self._style.get("halo"):
                halo = QColor(self._style["stroke"])
                halo.setAlphaF(0.2)
                pen = QPen(halo, self._style["width"] + 7)
                pen.setCapStyle(Qt.PenCapStyle.FlatCap)
                painter.setPen(pen)
                painter.drawLine(QLineF(box.left(), middle, box.right(), middle))
            painter.setPen(_pen(self._style))
            if self._style.get("fill"):
                painter.drawRect(box)
            else:
                painter.drawLine(QLineF(box.left(), middle, box.right(), middle))
        painter.end()

    def _draw_point(self, painter: QPainter, box: QRectF) -> None:
        painter.setPen(QPen(QColor(self._style["stroke"]), 1.5))
        x, y, top, bottom = box.center().x(), box.center().y(), box.top() - 1, box.bottom() + 1
        if self._style["marker"] == "mast":
            for foot in (x, x - 4, x + 4):
                painter.drawLine(QLineF(foot, bottom, x, top))
            return
        if self._style["marker"] == "bowl":
            painter.drawEllipse(box.center(), 8.0, 5.0)
            painter.drawRect(QRectF(x - 3, y - 1.5, 6, 3))
            return
        painter.drawEllipse(box.center(), 5.5, 5.5)
        if self._style["marker"] == "field":
            painter.drawLine(QLineF(x - 8, y, x + 8, y))
            return
        for bar in ((x - 2, y - 3, x - 2, y + 3), (x + 2, y - 3, x + 2, y + 3), (x - 2, y, x + 2, y)):
            painter.drawLine(QLineF(*bar))


class _RadiusBox(QDoubleSpinBox):
    def wheelEvent(self, event: QWheelEvent) -> None:
        # Scrolling the legend must not change the rings.
        event.ignore()


class LayersPopup(QFrame):
    """Switches and legend; closes by a click elsewhere.

    `toggled` carries a layer's id and whether it is shown; `radius_changed`
    the rings' radius [m].
    """

    toggled = Signal(str, bool)
    radius_changed = Signal(float)

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self._settings = settings
        self.setObjectName("layers_popup")
        lead_to(self, "the_desk#layers")
        self.switches: dict[str, QCheckBox] = {}
        self._counts: dict[str, QLabel] = {}
        page = QWidget(self)
        self._grid = QGridLayout(page)
        self._grid.setContentsMargins(14, 10, 16, 12)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(1, 1)
        self.allowed, self.seen = AllowedLegend(self), SeenLegend(self)
        overlays: tuple[tuple[LayerLook, QWidget], ...] = ((ALLOWED, self.allowed), (SEEN_LAYER, self.seen))
        for look, legend in overlays:
            self._add_group(look.group)
            self._add(look)
            self._grid.addWidget(legend, self._grid.rowCount(), 1, 1, 2)
        group = ""
        for look in LOOKS:
            if look.group != group:
                group = look.group
                self._add_group(group)
            self._add(look)
        self._add_group(RINGS.group)
        self._add(RINGS)
        self.radius = self._add_radius(settings.ring_radius_m)
        area = QScrollArea(self)
        area.setAccessibleName("Layers and legend")
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(page)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 1, 1, 1)
        column.addWidget(area)
        self._page, self._area = page, area
        self._width = page.sizeHint().width()
        for look, legend in overlays:
            self._fold(look, legend)

    def speak(self) -> None:
        """Say the layers' names in the units in use."""
        for look in (*LOOKS, RINGS):
            self.switches[look.id].setText(law(look.title))
            self.switches[look.id].setToolTip(law(look.note or look.title))
        self._page.adjustSize()
        self._width = self._page.sizeHint().width()

    def show_beside(self, button: QWidget, window: QWidget) -> None:
        """Open beside a button, inside the window."""
        height = min(self._page.sizeHint().height() + 6, window.height() - 60)
        self.resize(self._width + 18, height)
        corner = button.mapToGlobal(button.rect().topRight())
        bottom = window.mapToGlobal(window.rect().bottomLeft()).y()
        corner.setY(
            max(window.mapToGlobal(window.rect().topLeft()).y() + 4, min(corner.y(), bottom - height - 8))
        )
        self.move(corner)
        self.show()

    def show_layers(self, layers: list[dict[str, Any]]) -> None:
        """Say how many features each layer holds here."""
        counts = {layer["id"]: len(layer["geojson"]["features"]) for layer in layers}
        for layer_id, label in self._counts.items():
            if layer_id not in (RINGS.id, ALLOWED.id, SEEN_LAYER.id):
                count = counts.get(layer_id, 0)
                label.setText(str(count) if count else "none here")

    def _add_group(self, words: str) -> None:
        label = PlainLabel(words, self)
        label.setProperty("kind", "soft")
        label.setContentsMargins(0, 8 if self._grid.rowCount() > 1 else 0, 0, 0)
        self._grid.addWidget(label, self._grid.rowCount(), 0, 1, 3)

    def _fold(self, look: LayerLook, legend: QWidget) -> None:
        """Show a layer's legend only while the layer is shown."""
        switch = self.switches[look.id]
        legend.setVisible(switch.isChecked())
        switch.toggled.connect(legend.setVisible)

    def _add(self, look: LayerLook) -> None:
        row = self._grid.rowCount()
        switch = QCheckBox(law(look.title), self)
        switch.setChecked(self._settings.layer_switches.get(look.id, look.visible))
        switch.setToolTip(law(look.note or look.title))
        switch.toggled.connect(lambda on: self.toggled.emit(look.id, on))
        count = PlainLabel(look.note if look is RINGS else "", self)
        count.setProperty("kind", "soft")
        self._grid.addWidget(LineSample(look.style, self), row, 0)
        self._grid.addWidget(switch, row, 1)
        self._grid.addWidget(count, row, 2, Qt.AlignmentFlag.AlignRight)
        self.switches[look.id] = switch
        self._counts[look.id] = count
        if look.note and look is not RINGS:
            note = PlainLabel(look.note, self)
            note.setProperty("kind", "soft")
            note.setContentsMargins(22, 0, 0, 0)
            self._grid.addWidget(note, row + 1, 1, 1, 2)

    def _add_radius(self, radius_m: float) -> QDoubleSpinBox:
        holder = QWidget(self)
        line = QHBoxLayout(holder)
        line.setContentsMargins(22, 0, 0, 0)
        box = _RadiusBox(holder)
        box.setRange(0.1, 30.0)
        box.setDecimals(1)
        box.setSingleStep(0.5)
        box.setSuffix(" statute mi")
        box.setAccessibleName("Radius of the aerodrome rings in statute miles")
        box.setValue(radius_m / STATUTE_MILE_M)
        box.lineEdit().setAccessibleName(box.accessibleName())
        box.setKeyboardTracking(False)
        box.setToolTip("Radius in statute miles. Five is common practice; it is not a rule")
        box.valueChanged.connect(lambda miles: self.radius_changed.emit(miles * STATUTE_MILE_M))
        line.addWidget(PlainLabel("Radius", holder))
        line.addWidget(box)
        line.addStretch(1)
        self._grid.addWidget(holder, self._grid.rowCount(), 1, 1, 2)
        return box


def _pen(style: dict[str, Any]) -> QPen:
    pen = QPen(QColor(style["stroke"]), style["width"])
    if style.get("dash"):
        width = max(style["width"], 0.5)
        dashes = [float(length) / width for length in style["dash"].split()]
        pen.setDashPattern(dashes)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen
