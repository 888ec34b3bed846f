"""Where to turn back, and the worst place to lose the link at, on the map."""

from typing import Any

from PySide6.QtCore import QObject

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.in_turns import InTurns
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import track_position
from planner.desk.profile.turn_back import turn_back_mark
from planner.desk.saying import said
from planner.rules.loss_axis import WorstLoss, worst_loss


class MapFlight(QObject):
    """Keeps these marks on the map; while the answer is awaited there are none."""

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._canvas = canvas
        self._drawn: dict[str, Any] | None = None
        self._turns = InTurns.of(document)
        document.assessed.connect(self._draw_in_turn)
        document.followed.connect(self._draw_in_turn)
        self.redraw()

    def _draw_in_turn(self) -> None:
        self._turns.do(self.redraw)

    def redraw(self) -> None:
        """Draw the marks of the latest judgement."""
        marks = flight_marks(self._document.assessment)
        if marks != self._drawn:
            self._drawn = marks
            self._canvas.set_flight(marks)


def flight_marks(assessment: Assessment) -> dict[str, Any]:
    """Return spots, each a shape with its words, and ways [deg], as `MapCanvas.set_flight` takes them."""
    track = assessment.track
    if track is None or not assessment.whole:
        return {"spots": [], "ways": []}
    spots: list[dict[str, Any]] = []
    ways: list[list[list[float]]] = []
    worst = worst_loss(assessment.case)
    if worst is not None:
        way = _way(assessment, worst)
        spots.append(_lost(worst, way[0]))
        if len(way) > 1:
            ways.append(way)
        if len(way) > 1 and not worst.leads_home:
            spots.append({"shape": "ends", "lonlat": way[-1], "label": "", "always": False})
    if (mark := turn_back_mark(assessment)) is not None:
        lonlat = list(track_position(track, mark.distance_m))
        spots.append({"shape": "turn_back", "lonlat": lonlat, "label": mark.words, "always": True})
    return {"spots": spots, "ways": ways}


def _lost(worst: WorstLoss, lonlat: list[float]) -> dict[str, Any]:
    words = "link lost here" if worst.trouble else "worst place to lose the link"
    label = f"{words}: {said(worst.words)}"
    return {"shape": "lost", "lonlat": lonlat, "label": label, "always": worst.trouble}


def _way(assessment: Assessment, worst: WorstLoss) -> list[list[float]]:
    track, flight = assessment.track, assessment.flight
    assert track is not None
    assert flight is not None
    assert flight.loss is not None
    k = worst.sample
    here = [float(track.lon_deg[k]), float(track.lat_deg[k])]
    if bool(flight.loss.blown_away[k]):
        return [here]
    lon_deg, lat_deg = track.frame.inverse(flight.loss.corner_x_m[k], flight.loss.corner_y_m[k])
    corners = [list(pair) for pair in zip(lon_deg.tolist(), lat_deg.tolist(), strict=True)]
    return [here, *(corner for corner in corners[1:] if all(part == part for part in corner))]
