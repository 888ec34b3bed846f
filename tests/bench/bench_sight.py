"""Times of the sight room: along a path, over the map in pairs with gdal_viewshed, where to stand.

Processor time is printed beside wall time: it stays true on a machine that is busy with other work.
Random hills, 2001 x 2001 cells of 10 m. Where gdal_viewshed or numba is missing, their lines are too.

Run from the top of the checkout: ``python -m tests.bench.bench_sight [rounds]``.
"""

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import rasterio
import shapely

from planner.geo.heights import AboveGround
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.remedy.stand import StandQuestion, stand_answers
from planner.sight.along import Viewer, sight_along
from planner.sight.fast_sweep import compiled_sweep
from planner.sight.ranges import SightRange
from planner.sight.screens import highest_under
from planner.sight.spot import spot_above_ground
from planner.sight.surfaces import Screen, ScreenKind, Surfaces
from planner.sight.sweep import swept
from planner.sight.viewshed import viewshed
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain
from planner.world.readers.terrain import read_terrain
from planner.world.world import World
from tests.sight.grounds import rough_ground
from tests.sight.test_surely import uncertain

CELLS = 2001
FIVE_KM = [(-1500, 200), (-600, 1100), (500, 900), (1300, 200), (1900, 1500)]
THREE_KM = [(-1300, -200), (-600, 500), (300, 300), (900, -200), (1200, -300)]


def main(rounds: int) -> None:
    """Print medians, and the least in brackets."""
    ground = rough_ground(cells=CELLS, seed=1)
    along(ground, rounds)
    stand(ground, rounds)
    with tempfile.TemporaryDirectory() as folder:
        pairs(ground, rounds, Path(folder))


def along(ground: PlaneTerrain, rounds: int) -> None:
    """Sight of a 5-km path from one place; all of it within reach, and at a visibility of 5 km."""
    track = track_over(ground, FIVE_KM, 60.0)
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    for name, reach_m in (("all in reach", 9000.0), ("visibility 5 km", 1500.0)):
        viewer = Viewer("observer", eye, SightRange(135.0, reach_m))
        label = f"along {track.length_m:.0f} m, {len(track)} samples, {name}"
        works = {
            "": lambda v=viewer: sight_along(track, [v], Surfaces(ground)),
            "error of 2 m": lambda v=viewer: sight_along(track, [v], Surfaces(uncertain(ground, 2.0))),
            "48 screens": lambda v=viewer: sight_along(track, [v], screened(ground)),
        }
        timed(label, rounds, works)


@lru_cache(maxsize=1)
def screened(ground: PlaneTerrain) -> Surfaces:
    """Twenty-four buildings and as many stands of trees about the middle."""
    generator = np.random.default_rng(1)
    screens = []
    for number in range(48):
        x_m, y_m = generator.uniform(-1500.0, 1500.0, 2)
        outline = shapely.box(x_m, y_m, x_m + 30.0, y_m + 20.0)
        top_m = highest_under(ground, outline) + 12.0
        trees = number % 2 == 1
        kind = ScreenKind.TREES if trees else ScreenKind.BUILDING
        screens.append(Screen(outline, top_m, 12.0 if trees else None, kind))
    return Surfaces(ground, screens=tuple(screens))


def stand(ground: PlaneTerrain, rounds: int) -> None:
    """Where to stand: a square kilometre at 10 m for a 3-km path."""
    track = track_over(ground, THREE_KM, 40.0)
    question = StandQuestion(
        track, Surfaces(ground), ground.frame.xy_to_place(0.0, 0.0), SightRange(250.0, 1500.0), walk_m=564.2
    )
    answer = next(stand_answers(question))
    label = f"where to stand, {answer.tried} places, {track.length_m:.0f} m"
    timed(
        label,
        max(3, rounds // 3),
        {
            "first answer": lambda: next(stand_answers(question)),
            "whole": lambda: list(stand_answers(question)),
        },
    )


def pairs(ground: PlaneTerrain, rounds: int, folder: Path) -> None:
    """Viewshed of one file, one after the other in each round, file reading included and left out."""
    file = written(ground, folder / "ground.tif")
    terrain, _ = read_terrain(file)
    laid = PlaneTerrain.lay(terrain, ground.frame)
    eye = spot_above_ground(3.0, -2.0, 1.7, laid)
    crs_x, crs_y = (float(axis) for axis in laid.way.there(eye.x_m, eye.y_m))
    works: dict[str, Callable[[], object]] = {}
    if shutil.which("gdal_viewshed"):
        command = [
            "gdal_viewshed",
            "-q",
            "-oz",
            "1.7",
            "-tz",
            "60",
            "-md",
            "0",
            "-ox",
            f"{crs_x}",
            "-oy",
            f"{crs_y}",
        ]
        works["gdal_viewshed"] = lambda: subprocess.run([*command, file, folder / "seen.tif"], check=True)
    works["plain"] = lambda: viewshed(laid, eye, 1e6, sweep=swept)
    if find_spec("numba"):
        fast = compiled_sweep()
        works["compiled"] = lambda: viewshed(laid, eye, 1e6, sweep=fast)
        works["compiled, file read too"] = lambda: viewshed(
            PlaneTerrain.lay(read_terrain(file)[0], ground.frame), eye, 1e6, sweep=fast
        )
    timed(f"viewshed {CELLS} x {CELLS}", rounds, works)


def timed(label: str, rounds: int, works: dict[str, Callable[[], object]]) -> None:
    """Run all works once each round, after one warm-up."""
    print(label)
    times = {name: [] for name in works}
    for number in range(rounds + 1):
        for name, work in works.items():
            begun = now()
            work()
            if number:
                times[name].append(now() - begun)
    first = next(iter(works))
    for name, measured in times.items():
        wall, processor = np.array(measured).T * 1e3
        ratio = np.median(np.array(measured)[:, 0] / np.array(times[first])[:, 0])
        beside = f", wall {ratio:.2f} x {first}" if first == "gdal_viewshed" != name else ""
        print(
            f"  {name or 'all'}: {np.median(wall):.1f} ms wall ({wall.min():.1f}), "
            f"{np.median(processor):.1f} ms processor ({processor.min():.1f}){beside}"
        )


def now() -> np.ndarray:
    """Return wall and processor time [s], that of finished children included."""
    child = resource.getrusage(resource.RUSAGE_CHILDREN)
    return np.array([time.perf_counter(), time.process_time() + child.ru_utime + child.ru_stime])


def track_over(ground: PlaneTerrain, corners: list[tuple[int, int]], above_m: float) -> Track:
    """Return a track at one height above ground at its corners."""
    path = tuple(PathPoint(ground.frame.xy_to_place(x_m, y_m), AboveGround(above_m)) for x_m, y_m in corners)
    track = build_track(Plan(path=path), map_world(World(terrain=ground.terrain), (), ground.frame))
    assert track is not None
    return track


def written(ground: PlaneTerrain, path: Path) -> Path:
    """Write the ground as a GeoTIFF."""
    terrain = ground.terrain
    rows, columns = terrain.heights_m.shape
    shape = {"height": rows, "width": columns, "count": 1, "dtype": "float32"}
    shape |= {"driver": "GTiff", "crs": terrain.crs.to_wkt(), "transform": terrain.cell_to_crs}
    with rasterio.open(path, "w", **shape) as dataset:
        dataset.write(terrain.heights_m, 1)
    return path


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
