"""How long the desk does not answer when many legs are new: a path of hundreds or thousands of points.

Each hand is watched from the moment it acts until the plan is checked whole; the pause is the longest between
two beats of a timer, the work the most that the desk's own thread computed between two beats (true on a busy
machine, too). Wanted: no block over 100 ms::

    python -m tests.bench.bench_long_path [points] [--profile HAND]      (on a screen, or under xvfb-run)
"""

import argparse
import cProfile
import gc
import math
import os
import pstats
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import attrs

from planner.locate import demo_missions_dir

if TYPE_CHECKING:
    from planner.desk.desk import Desk
    from planner.plan.model import Plan

_MISSION, _AIM_MS = "ridge_line", 100.0
_LONGEST_MS, _PAINTED_MS = 60_000, 700


def main() -> None:
    """Read the command line; print the longest block of each hand."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("points", type=int, nargs="?", default=3_000)
    reader.add_argument("--profile", default="", help="the hand whose work is told function by function")
    chosen = reader.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOWLINE_STATE_DIR"] = folder
        from planner.desk.app import make_application

        _application = make_application()
        _measure(Path(folder), chosen.points, chosen.profile)
        os._exit(0)


def spiral(points: int) -> "Plan":
    """Return a demo flight whose path winds outward from its first point, some 350 m wide."""
    from planner.geo.place import Place
    from planner.plan.file import read_plan

    plan = read_plan(demo_missions_dir() / f"{_MISSION}.lowline.geojson")
    first = plan.path[0]

    def at(k: int) -> Place:
        away, turn = 0.004 * (k + 1) / points, 0.05 * k
        return Place(first.place.lon_deg + away * math.cos(turn), first.place.lat_deg + away * math.sin(turn))

    path = tuple(attrs.evolve(first, place=at(k), name="", figure=None) for k in range(points))
    return attrs.evolve(plan, path=path, figures=())


def _measure(folder: Path, points: int, profiled: str) -> None:
    from planner.desk.desk import Desk
    from planner.plan.file import write_plan
    from tests.desk.heart import Heart
    from tests.desk.pictures import wait

    few, many = folder / "few.lowline.geojson", folder / "many.lowline.geojson"
    write_plan(spiral(12), few)
    write_plan(spiral(points), many)
    desk = Desk(None, None)
    desk.show_map_first(few)
    wait(20_000, lambda: desk.window.side is not None and not desk.document.checking)
    # As the desk does once it has come to rest: `app.spare_collector`.
    gc.collect()
    gc.freeze()
    heart = Heart()
    print(f"{points:,} points [ms]            pause   worked   checked after")
    for name, hand in _hands(desk, points, many):
        watch = cProfile.Profile(time.thread_time)
        heart.begin()
        begun_s = time.perf_counter()
        if name == profiled:
            watch.enable()
        hand()
        wait(_LONGEST_MS, lambda: not desk.document.checking)
        checked_s = time.perf_counter() - begun_s
        wait(_PAINTED_MS)
        watch.disable()
        mark = " !" if heart.work_ms > _AIM_MS else ""
        print(f"{name:26s}{heart.pause_ms:8.0f}{heart.work_ms:9.0f}{checked_s * 1e3:12.0f}{mark}", flush=True)
        if name == profiled:
            pstats.Stats(watch).sort_stats("cumtime").print_stats(90)


def _hands(desk: "Desk", points: int, file: Path) -> list[tuple[str, Callable[[], object]]]:
    from PySide6.QtGui import QGuiApplication

    from planner.desk.points_text import points_text
    from planner.geo.heights import AboveGround
    from planner.plan import edits

    window, document = desk.window, desk.document
    stack, actions = document.undo_stack, window.menu_actions

    def turn() -> None:
        every = tuple(range(len(document.plan.path)))
        document.try_edit(edits.ReshapePath(every, turn_deg=15.0))

    def move() -> None:
        place = attrs.evolve(document.plan.path[5].place, lat_deg=document.plan.path[5].place.lat_deg + 1e-4)
        document.try_edit(edits.MovePoint(5, place))

    QGuiApplication.clipboard().setText(points_text(spiral(points).path))
    return [
        ("paste", actions["paste_points"].trigger),
        ("undo the paste", stack.undo),
        ("redo the paste", stack.redo),
        ("move one point", move),
        ("height of one point", lambda: document.try_edit(edits.SetPointHeight((7,), AboveGround(33.0)))),
        ("reverse", actions["reverse"].trigger),
        ("undo the reverse", stack.undo),
        ("redo the reverse", stack.redo),
        ("level", actions["level"].trigger),
        ("undo the level", stack.undo),
        ("turn", turn),
        ("turn again at once", lambda: (turn(), turn())),
        ("undo both", lambda: (stack.undo(), stack.undo())),
        ("points tab", actions["show_points"].trigger),
        ("choose all", lambda: window.side.points.table.selectAll()),
        ("one of the table", lambda: window.side.points.table.selectRow(9)),
        ("move one, table shown", move),
        ("reverse, table shown", actions["reverse"].trigger),
        ("undo, table shown", stack.undo),
        ("findings tab", actions["show_findings"].trigger),
        ("zoom of the profile", lambda: window.profile_view.panel.plot.view._set_stretch(100.0, 400.0)),
        ("resize", lambda: window.resize(1300, 840)),
        ("open few", lambda: _open(desk, file.with_name("few.lowline.geojson"))),
        ("open many", lambda: _open(desk, file)),
    ]


def _open(desk: "Desk", file: Path) -> None:
    desk.document.undo_stack.setClean()
    desk.window.commands.open_path(file)


if __name__ == "__main__":
    main()
