"""Time of the ceiling: the profile of a 20-km path, the layer of allowed heights, and the remedies.

Processor time is printed beside wall time: it stays true on a machine that is busy with other work.
The layer works on as many threads as there are processors, so on a quiet machine its wall time is
its processor time shared among them.

Run from the top of the checkout: ``python -m tests.bench.bench_ceiling``.
"""

import time
from collections.abc import Callable

import attrs
import numpy as np

from planner.assess import assess, frame_for
from planner.ceiling.allowed_layer import allowed_layer
from planner.ceiling.cell_grid import CellGrid, CellGround, ground_of
from planner.ceiling.evaluate import Scene, profile_along
from planner.ceiling.filled import KeptCells
from planner.geo.heights import AboveSeaLevel
from planner.permission.needs import airspace_uses
from planner.plan.geometry import LegShape
from planner.remedy.bend import bend_path
from planner.remedy.judged import best_judged
from planner.remedy.lower import lower_path
from planner.remedy.lowest_change import lowest_change, lowest_changes
from planner.remedy.remedy import NoRemedy
from planner.remedy.sink import SinkLimits, sink_path
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.world.airspace import AirspaceKind
from tests.worlds import disc, plan, points, sea_level, terrain, tower, volume, world

ROUNDS = 15
LIMITS = SinkLimits(margin_m=5.0, clearance_m=20.0, steepest=0.5)


def relief(east_m, north_m):
    return 300 - 0.01 * east_m + 30 * np.sin(east_m / 400) + 15 * np.cos(north_m / 230)


def busy_world():
    draw = np.random.default_rng(1)
    places = draw.uniform(-10_000, 10_000, (100, 2)).tolist()
    circles = [
        disc(float(draw.uniform(200, 900)), tuple(draw.uniform(-10_000, 10_000, 2)), 90) for _ in range(30)
    ]
    return world(
        terrain=terrain(
            relief, cell_m=10, cells=2201, horizontal_uncertainty_m=5.0, vertical_uncertainty_m=2.0
        ),
        airspace=(
            volume(AirspaceKind.CLASS_C, disc(9000, (9000, 0)), sea_level(480), name="INVENTED C"),
            volume(AirspaceKind.RESTRICTED, disc(150, (600, 30)), name="INVENTED R"),
            *(
                volume(AirspaceKind.CLASS_D, circle, name=f"INVENTED {k}", floor=sea_level(600))
                for k, circle in enumerate(circles)
            ),
        ),
        structures=tuple(tower(400, tuple(place), key=f"t{k}") for k, place in enumerate(places)),
    )


def main() -> None:
    """Print the median and the best of each [ms]."""
    charts = busy_world()
    standing = frozenset(f"t{k}" for k in range(100))
    _profile(charts, standing)
    _layer(charts, standing)
    _remedies(charts, standing)


def _profile(charts, standing) -> None:
    corners = [
        (east, 300.0 * (k % 2), AboveSeaLevel(390.0)) for k, east in enumerate(range(-10_000, 10_001, 1000))
    ]
    intended = plan(path=points(corners), structures_standing=standing)
    mapped = map_world(charts, (), frame_for(intended))
    memory = {}

    def run(kept):
        track = build_track(intended, mapped, kept)
        scene = Scene(intended, mapped, airspace_uses(intended, mapped, track, None, None))
        return track, profile_along(track, scene)

    track, _ = run(memory)
    print(f"path of {track.length_m / 1000:.1f} km, {len(track)} samples")
    _timed("profile, legs cold", lambda: run({}))
    _timed("profile, legs kept", lambda: run(memory))


def _layer(charts, standing) -> None:
    scene = assess(plan(structures_standing=standing), charts).scene
    grid = CellGrid(100.0, 100.0, 1.0, 2000, 2000)
    print(f"layer of {grid.columns} x {grid.rows} cells")
    _timed("ground of the layer, once for a map", lambda: ground_of(scene.mapped.ground, grid))
    ground = ground_of(scene.mapped.ground, grid)
    _timed("allowed heights, the first time", lambda: allowed_layer(scene, _forgetful(ground)))
    _timed("allowed heights, for every plan", lambda: allowed_layer(scene, ground))


def _forgetful(ground: CellGround) -> CellGround:
    return attrs.evolve(ground, kept=KeptCells())


def _remedies(charts, standing) -> None:
    for shape in LegShape:
        path = points([(-2500, 0, AboveSeaLevel(450.0)), (2500, 50, AboveSeaLevel(450.0))], shape)
        answer = assess(plan(path=path, structures_standing=standing), charts)
        print(f"path of {answer.track.length_m / 1000:.1f} km, {len(answer.track)} samples, {shape.value}")
        _timed("lower", lambda answer=answer: lower_path(answer, 5.0))
        _timed("bend", lambda answer=answer: bend_path(answer, 50.0))
        _timed("sink", lambda answer=answer: sink_path(answer, LIMITS))
        _timed("lowest change", lambda answer=answer: lowest_change(answer, LIMITS, 50.0))
        _timed("lowest change, the whole plan judged after it", lambda answer=answer: _judged(answer))


def _judged(answer) -> None:
    """What the desk does on its worker: each lawful change judged, until one leaves nothing wrong."""
    found = lowest_changes(answer, LIMITS, 50.0)
    if not isinstance(found, NoRemedy):
        best_judged(answer, found)


def _timed(name: str, call: Callable[[], object]) -> None:
    call()
    spent = []
    for _ in range(ROUNDS):
        begun = np.array([time.perf_counter(), time.process_time()])
        call()
        spent.append(np.array([time.perf_counter(), time.process_time()]) - begun)
    (wall, processor), best = np.median(spent, axis=0) * 1e3, np.min(spent, axis=0) * 1e3
    print(f"  {name}: {wall:.1f} ms wall, {processor:.1f} ms processor; best {best[0]:.1f}, {best[1]:.1f}")


if __name__ == "__main__":
    main()
