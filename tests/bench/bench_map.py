"""The densest 50 km of a whole invented country on the map: time to show it, frames while it is moved.

Run from the top of the checkout, on a screen or under xvfb-run: ``python -m tests.bench.bench_map [SHARE]
[--set FOLDER]``. Frames are the page's own, while real mouse events drag the map.
"""

import argparse
import json
import sqlite3
import statistics
import tempfile
import time
from pathlib import Path

from planner.desk.app import make_application
from planner.geo.place import Place
from planner.surroundings import surroundings
from planner.world.extent import Extent
from planner.world.store import MARGIN_M
from tests.bench import national
from tests.bench.bench_charts import LAYERS, imported, plan_at

_RECORD = """
window.frames_ms = []; window.last = performance.now();
window.recording = true;
(function note(now) {
  window.frames_ms.push(now - window.last); window.last = now;
  if (window.recording) requestAnimationFrame(note);
})(performance.now());
"""


def densest(charts: Path, share: float) -> Place:
    """Return the town with most features within the box that is loaded about a plan."""
    with sqlite3.connect(charts) as connection:

        def around(lon_deg: float, lat_deg: float) -> int:
            place = Place(lon_deg, lat_deg)
            west, south, east, north = Extent.around([place]).grown(MARGIN_M).bounds()
            counts = [
                connection.execute(
                    f"SELECT count(*) FROM rtree_{name}_geom"
                    " WHERE maxx >= ? AND minx <= ? AND maxy >= ? AND miny <= ?",
                    (west, east, south, north),
                ).fetchone()[0]
                for name in LAYERS
            ]
            return sum(counts)

        towns = national.towns(share)
        return Place(*max(towns.tolist(), key=lambda town: around(*town)))


def country_set(folder: Path, share: float) -> Path:
    """Return a chart set of the country, made if it is not there."""
    target = folder / "set"
    if not (target / "set.json").is_file():
        for made in national.country(share).values():
            made.write(folder)
        imported(folder, target, "GPKG")
    return target


class Page:
    """The map canvas, and what is measured on it."""

    def __init__(self) -> None:
        from planner.desk.map.canvas import MapCanvas
        from planner.locate import resources_dir

        self.canvas = MapCanvas(resources_dir() / "map_page")
        self.canvas.resize(960, 620)
        self.canvas.show()
        self.until(lambda: self.canvas.is_ready)

    def until(self, done) -> None:
        from PySide6.QtCore import QEventLoop, QTimer

        while not done():
            loop = QEventLoop()
            QTimer.singleShot(1, loop.quit)
            loop.exec()

    def answered(self) -> None:
        """Wait until the page has dealt with all it was sent."""
        found = []
        self.canvas.point_on_screen(0, 0, lambda x, y: found.append((x, y)))
        self.until(lambda: bool(found))

    def value(self, expression: str):
        found = []
        self.canvas.page.runJavaScript(f"JSON.stringify({expression})", found.append)
        self.until(lambda: bool(found))
        return json.loads(found[0])

    def frames(self, gesture) -> list[float]:
        """Return the times between frames [ms] while a gesture goes on."""
        self.canvas.page.runJavaScript(_RECORD)
        self.answered()
        gesture()
        found = self.value("(window.recording = false, window.frames_ms)")
        return found[2:]

    def drag(self) -> None:
        from PySide6.QtCore import QPoint, Qt
        from PySide6.QtTest import QTest

        target = self.canvas.focusProxy()
        spot = QPoint(480, 300)
        for turn in range(4):
            QTest.mousePress(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
            for step in range(1, 25):
                shift = 8 * step * (1 if turn % 2 else -1)
                QTest.mouseMove(target, spot + QPoint(shift, shift // 2))
                self.pause(0.016)
            QTest.mouseRelease(
                target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot + QPoint(shift, 0)
            )
            self.pause(0.1)

    def zoom(self, box_deg) -> None:
        west, south, east, north = box_deg
        for share in (0.0, 0.2, 0.3, 0.4, 0.45, 0.4, 0.2, 0.0):
            across, up = share * (east - west), share * (north - south)
            self.canvas.fit(west + across, south + up, east - across, north - up)
            self.answered()
            self.pause(0.05)

    def pause(self, seconds: float) -> None:
        end = time.perf_counter() + seconds
        self.until(lambda: time.perf_counter() >= end)


def measured(target: Path, share: float) -> None:
    """Print what showing and moving the densest region takes."""
    from planner.desk.map_layers import map_layers

    place = densest(target / "charts.gpkg", share)
    world = surroundings(plan_at(place, 0.0), known_sets={"invented-country": target})
    counts = len(world.cells), len(world.structures), len(world.airspace), len(world.aerodromes)
    print("{} cells, {} structures, {} volumes, {} aerodromes".format(*counts))
    page = Page()
    around = Extent.around([place]).grown(MARGIN_M).bounds()
    page.canvas.fit(*around)
    page.answered()
    begun = time.perf_counter()
    layers = map_layers(world)
    made = time.perf_counter()
    page.canvas.set_layers(layers)
    sent = time.perf_counter()
    page.answered()
    page.value("1")
    shown = time.perf_counter()
    size = len(json.dumps(layers, separators=(",", ":"))) / 1e6
    print(
        f"batches: {len(layers)}, {size:.1f} MB; made in {1e3 * (made - begun):.0f} ms, "
        f"sent in {1e3 * (sent - made):.0f} ms, on the page after {1e3 * (shown - sent):.0f} ms more"
    )
    page.pause(1.0)
    tell("panning, all 50 km", page.frames(page.drag))
    tell("zooming", page.frames(lambda: page.zoom(around)))
    page.canvas.fit(place.lon_deg - 0.1, place.lat_deg - 0.06, place.lon_deg + 0.1, place.lat_deg + 0.06)
    page.pause(0.5)
    tell("panning, 18 km", page.frames(page.drag))
    page.canvas.close()


def tell(what: str, frames_ms: list[float]) -> None:
    """Print how long frames took."""
    middle, slow = statistics.median(frames_ms), statistics.quantiles(frames_ms, n=20)[-1]
    print(f"{what}: frame {middle:.0f} ms median, 95 % {slow:.0f}, longest {max(frames_ms):.0f}")


def main() -> None:
    """Measure one size of country."""
    parser = argparse.ArgumentParser()
    parser.add_argument("share", type=float, nargs="?", default=1.0)
    parser.add_argument("--set", type=Path)
    chosen = parser.parse_args()
    application = make_application()
    with tempfile.TemporaryDirectory() as scratch:
        folder = chosen.set or Path(scratch)
        folder.mkdir(exist_ok=True)
        measured(country_set(folder, chosen.share), chosen.share)
    application.processEvents()


if __name__ == "__main__":
    main()
