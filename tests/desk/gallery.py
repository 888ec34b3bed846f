"""Makes pictures of every window and dialog of the desk, to be looked at; the repository keeps none.

Run from the top of the checkout, on a screen or under xvfb-run::

    python -m tests.desk.gallery FOLDER [--look dark] [--text 150] [--size 1280x720] [--missions NAME...]

For 200 % set ``QT_SCALE_FACTOR=2`` and give the screen twice as many pixels. Without missions it is one,
with its dialogs; with missions their desks alone; ``--missions all`` takes each.
"""

import argparse
import os
import shutil
import sys
import tempfile
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from planner.locate import demo_missions_dir
from tests.desk.pictures import wait

if TYPE_CHECKING:
    from PySide6.QtGui import QPixmap
    from PySide6.QtWidgets import QWidget

    from planner.desk.desk import Desk

_WITH_DIALOGS = "canyon_video_breaks"
_AT_MOST_MS, _LOOK_MS, _SAME_LOOKS = 90_000, 250, 4


def main() -> None:
    """Read the command line and write the pictures."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("folder", type=Path)
    reader.add_argument("--look", default="light")
    reader.add_argument("--text", type=float, default=100.0)
    reader.add_argument("--size", default="1400x900")
    reader.add_argument("--missions", nargs="*", default=[])
    chosen = reader.parse_args()
    chosen.folder.mkdir(parents=True, exist_ok=True)
    width, height = (int(part) for part in chosen.size.split("x"))
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["LOWLINE_STATE_DIR"] = scratch
        _keep_look(Path(scratch), chosen.look, chosen.text)
        from planner.desk.app import make_application

        application = make_application()
        # A blinking cursor would never come to rest.
        application.setCursorFlashTime(0)
        for name in _names(chosen.missions):
            desk = _opened(Path(scratch), name, (width, height))
            _shoot(desk.window, chosen.folder / f"{name or 'start'}.png")
            if name == _WITH_DIALOGS and not chosen.missions:
                _each_tab(desk, chosen.folder)
                _each_dialog(desk, chosen.folder)
            desk.window.close()
            desk.close()
    os._exit(0)


def _names(missions: list[str]) -> list[str]:
    if missions == ["all"]:
        return sorted(path.name.split(".")[0] for path in demo_missions_dir().glob("*.lowline.geojson"))
    return missions or ["", _WITH_DIALOGS]


def _keep_look(folder: Path, look: str, text_percent: float) -> None:
    from planner.desk.preferences import write_settings
    from planner.settings import Settings

    write_settings(folder, Settings(appearance=look, text_percent=text_percent))


def _opened(scratch: Path, name: str, size: tuple[int, int]) -> "Desk":
    from planner.desk.desk import Desk

    desk = Desk(None, None)
    desk.window.resize(*size)
    file = demo_missions_dir() / f"{name}.lowline.geojson"
    desk.show_map_first(Path(shutil.copy(file, scratch)) if name else None)
    wait(_AT_MOST_MS, lambda: desk.window.side is not None and not desk.document.checking)
    _come_to_rest(desk.window)
    return desk


def _come_to_rest(*shown: "QWidget") -> None:
    """Wait until no worker works and some looks one after the other show the same; say where they don't."""
    looks: list[list[object]] = []

    def at_rest() -> bool:
        if any(one.name == "lowline-work" for one in threading.enumerate()):
            looks.clear()
            return False
        looks.append([_seen(one).toImage() for one in shown])
        return len(looks) >= _SAME_LOOKS and all(one == looks[-1] for one in looks[-_SAME_LOOKS:])

    for _ in range(_AT_MOST_MS // _LOOK_MS):
        if at_rest():
            return
        wait(_LOOK_MS)
    sys.stderr.write(f"not at rest after {_AT_MOST_MS // 1000} s: {[one.windowTitle() for one in shown]}\n")


def _each_tab(desk: "Desk", folder: Path) -> None:
    from PySide6.QtWidgets import QScrollArea

    for tab in ("findings", "points", "plan", "permissions"):
        desk.window.menu_actions[f"show_{tab}"].trigger()
        _come_to_rest(desk.window)
        _shoot(desk.window, folder / f"tab_{tab}.png")
        shown = [one for one in desk.window.side.findChildren(QScrollArea) if one.isVisible()]
        for number, area in enumerate(shown):
            area.widget().grab().save(str(folder / f"tab_{tab}_whole_{number}.png"))


def _each_dialog(desk: "Desk", folder: Path) -> None:
    from PySide6.QtWidgets import QApplication

    from tests.desk.test_reach import shut_all, ways_in

    for what, way in ways_in(desk).items():
        before = {one for one in QApplication.topLevelWidgets() if one.isVisible()}
        way()
        wait(_LOOK_MS)
        fresh = [one for one in QApplication.topLevelWidgets() if one.isVisible() and one not in before]
        _come_to_rest(*fresh)
        for number, one in enumerate(fresh):
            one.grab().save(str(folder / f"dialog_{what.replace(' ', '_')}{number or ''}.png"))
        shut_all()
        wait(200)


def _shoot(window: "QWidget", target: Path) -> None:
    _seen(window).save(str(target))


def _seen(window: "QWidget") -> "QPixmap":
    # Of the screen, not of the widget: the browser view paints on the graphics card.
    return window.screen().grabWindow(window.winId())


if __name__ == "__main__":
    main()
