"""Makes the pictures of README and manual: real windows on demo missions, from the top of the checkout.

Run ``python -m tests.desk.pictures [names]`` on a screen or under xvfb-run (1400 x 900 and 24 bits at least).
It keeps its state in a scratch folder.
"""

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner.locate import demo_missions_dir, resources_dir

if TYPE_CHECKING:
    from PySide6.QtGui import QImage, QPixmap
    from PySide6.QtWidgets import QWidget

    from planner.desk.desk import Desk

_SIZE = (1400, 900)
_AT_MOST_MS = 30_000
_DRAWN_MS = 6_000
_KEY_PX = 300


def main(folder: Path, names: list[str]) -> None:
    """Write the pictures of these names, or all."""
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["LOWLINE_STATE_DIR"] = scratch
        # Imported here: the state folder must be known before.
        from planner.desk.app import make_application

        _application = make_application()
        for name in names or [*_PICTURES]:
            mission, shoot = _PICTURES[name]
            _take(mission, shoot, folder / f"{name}.png")


def _take(mission: str, shoot: "Callable[[Desk], QPixmap | QImage]", target: Path) -> None:
    from planner.desk.desk import Desk

    desk = Desk(None, None)
    desk.window.resize(*_SIZE)
    desk.show_map_first(demo_missions_dir() / f"{mission}.lowline.geojson")
    wait(_AT_MOST_MS, lambda: desk.window.side is not None)
    assert desk.window.side is not None, "the desk did not come up"
    wait(_AT_MOST_MS, lambda: not desk.document.checking)
    # The ground, the chart layers and their labels are drawn after the last message.
    wait(_DRAWN_MS)
    assert shoot(desk).save(str(target)), f"{target} could not be written"
    desk.window.close()
    desk.close()


def _fewer_tones(picture: "QPixmap") -> "QImage":
    """A palette of 256 tones: a third of the bytes, and nothing that an eye would miss."""
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    return picture.toImage().convertToFormat(
        QImage.Format.Format_Indexed8, Qt.ImageConversionFlag.AvoidDither
    )


def wait(at_most_ms: int, until: Callable[[], bool] | None = None) -> None:
    """Let the desk work until something is so, for a time at most."""
    # Not QTest.qWait: it keeps the workers from running.
    from PySide6.QtCore import QEventLoop, QTimer

    loop, looks = QEventLoop(), QTimer()
    if until is not None:
        looks.timeout.connect(lambda: until() and loop.quit())
        looks.start(50)
    QTimer.singleShot(at_most_ms, loop.quit)
    loop.exec()
    looks.stop()


def _whole_desk(desk: "Desk") -> "QPixmap":
    return desk.window.screen().grabWindow(desk.window.winId())


def _what_is_seen(desk: "Desk") -> "QImage":
    """The map alone with the layer of what is seen, its legend in a corner."""
    from PySide6.QtCore import QPoint

    window = desk.window
    # With what lies beyond the path: hidden, too far, not tried.
    window.map_view.canvas.zoom(-1.0)
    wait(_DRAWN_MS)
    drawn: list[bool] = []
    window.map_view.overlays.seen.drawn.connect(lambda: drawn.append(True))
    window.popup.switches["seen"].setChecked(True)
    wait(_AT_MOST_MS, lambda: bool(drawn))
    wait(_DRAWN_MS)
    canvas = window.canvas
    corner = canvas.mapTo(window, QPoint(0, 0))
    shown = window.screen().grabWindow(
        window.winId(), corner.x(), corner.y(), canvas.width(), canvas.height()
    )
    return _fewer_tones(_beside(shown, window.popup.seen))


def _beside(shown: "QPixmap", legend: "QWidget") -> "QPixmap":
    from PySide6.QtGui import QColor, QPainter, QPixmap

    from planner.desk import palette

    legend.setFixedWidth(_KEY_PX)
    key = legend.grab()
    whole = QPixmap(shown.width() + key.width() + 20, max(shown.height(), key.height() + 20))
    whole.fill(QColor(palette.LIGHT.paper))
    painter = QPainter(whole)
    painter.drawPixmap(0, 0, shown)
    painter.drawPixmap(shown.width() + 4, 10, key)
    painter.end()
    return whole


def _line_of_sight(desk: "Desk") -> "QPixmap":
    """The cross-section where the canyon hides the aircraft."""
    window = desk.window
    (hidden,) = [one for one in desk.document.assessment.findings if one.rule == "hidden-from-crew"]
    window.doors.crossings.show_at((hidden.from_m + hidden.to_m) / 2)
    wait(500)
    return window.doors.crossings.dialog.grab()


_PICTURES: "dict[str, tuple[str, Callable[[Desk], QPixmap | QImage]]]" = {
    "desk": ("under_the_shelf", _whole_desk),
    "what_is_seen": ("evening_glare", _what_is_seen),
    "line_of_sight": ("canyon_hidden", _line_of_sight),
}


if __name__ == "__main__":
    main(resources_dir() / "pictures", sys.argv[1:])
