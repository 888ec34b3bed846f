"""Time of one edit to the refreshed live assessment: a path of about 5 km over the demo island.

Points of the path are dragged and raised in small steps; every step is one
call of `assess_live` with the memory of the call before, as on the desk. The aim
is one frame at 60 Hz, 16 ms, for the median.

Run from the top of the checkout: ``python -m tests.bench.bench_live [--profile]``.
"""

import cProfile
import gc
import pstats
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import attrs
import numpy as np

from planner.assess import Memory, assess_live, follow
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.edits.base import Edit
from planner.plan.edits.path import MovePoint, SetPointHeight
from planner.plan.geometry import Area, Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.records import NoticesChecked
from planner.surroundings import surroundings
from planner.world.world import World

ISLAND = Path(__file__).resolve().parents[2] / "resources" / "island"
AIM_MS = 16.0
EDITS = 200

# From the shore past the towered field's cells, under the shelf, over the ridge.
COURSE = (
    (-150.2300, 37.7930), (-150.2241, 37.7985), (-150.2187, 37.8041), (-150.2151, 37.8110),
    (-150.2090, 37.8163), (-150.2003, 37.8182), (-150.1920, 37.8205), (-150.1843, 37.8190),
)  # fmt: skip


def course_plan(shape: LegShape, *, with_area: bool) -> Plan:
    """Return a complete plan along the course."""
    places = [Place(lon_deg, lat_deg) for lon_deg, lat_deg in COURSE]
    corners = [travel(places[3], TrueBearing(deg), 1_000.0) for deg in range(0, 360, 60)]
    start = datetime(2027, 6, 12, 19, tzinfo=UTC)
    return Plan(
        purpose=Purpose.PART_107,
        aircraft=Aircraft("5-inch quad", 0.62, 0.35),
        window=TimeWindow(start, datetime(2027, 6, 12, 20, tzinfo=UTC)),
        crew=(
            CrewMember("pilot", Role.REMOTE_PILOT, place=places[0]),
            CrewMember("observer", Role.OBSERVER, place=places[0], contact=Contact.BESIDE),
        ),
        launch=GroundSpot(places[0], LandStatus.OWN),
        landing=GroundSpot(places[0], LandStatus.OWN),
        area=Area(tuple(corners), AboveGround(60.0)) if with_area else None,
        path=tuple(PathPoint(place, AboveGround(30.0 + 5 * k), Leg(shape)) for k, place in enumerate(places)),
        notices=NoticesChecked(start, "pilot"),
        chart_sets=("demo-island",),
    )


def drags(plan: Plan) -> Iterator[Edit]:
    """Yield edits as a hand makes them: a point dragged over the map, then one in the profile."""
    for step in range(EDITS):
        index = 1 + step // 40 % (len(plan.path) - 2)
        if step % 4 == 3:
            yield SetPointHeight((index,), AboveGround(30.0 + step / 10))
        else:
            east = travel(plan.path[index].place, TrueBearing(90.0), 3.0 * (step % 40))
            yield MovePoint(index, east)


def times_ms(plan: Plan, world: World) -> np.ndarray:
    """Return wall and processor time of every edit with its assessment (n, 2) [ms], after a cold one."""
    memory = Memory()
    cold = timed(lambda: assess_live(plan, world, memory))
    print(f"  first assessment {cold:.1f} ms")
    found = []
    gc.collect()
    for edit in drags(plan):
        begun = now()
        plan = edit.apply(plan)
        assess_live(plan, world, memory)
        found.append((now() - begun) * 1e3)
    return np.array(found)


def now() -> np.ndarray:
    """Return wall and processor time [s]; the latter stays true on a machine busy with other work."""
    return np.array([time.perf_counter(), time.process_time()])


def timed(action: Callable[[], object]) -> float:
    begun = time.perf_counter()
    action()
    return (time.perf_counter() - begun) * 1e3


def main() -> None:
    """Print median and 95th percentile of each course [ms]."""
    for shape in LegShape:
        for with_area in (False, True):
            plan = course_plan(shape, with_area=with_area)
            world = surroundings(plan, known_sets={"demo-island": ISLAND})
            answer = assess_live(plan, world)
            print(f"{shape.value}, {'with' if with_area else 'without'} a flying area:")
            print(f"  {answer.track.length_m:,.0f} m, {len(answer.track)} samples, {answer.verdict.value}")
            print(f"  what follows on the worker {timed(lambda live=answer: follow(live)):.1f} ms")
            wall, processor = times_ms(plan, world).T
            verdict = "within" if np.median(wall) <= AIM_MS else "OVER"
            print(
                f"  median {np.median(wall):.1f} ms wall, {np.median(processor):.1f} ms processor; "
                f"95 % {np.percentile(wall, 95):.1f} and {np.percentile(processor, 95):.1f} ms; "
                f"{verdict} the aim of {AIM_MS:.0f} ms"
            )
    corner_pulled()


def corner_pulled() -> None:
    """Print what each move of an area's corner takes."""
    plan = course_plan(LegShape.STRAIGHT, with_area=True)
    assert plan.area is not None
    world = surroundings(plan, known_sets={"demo-island": ISLAND})
    memory = Memory()
    assess_live(plan, world, memory)
    found = []
    for step in range(1, 41):
        corner = travel(plan.area.ring[0], TrueBearing(0.0), 5.0 * step)
        area = attrs.evolve(plan.area, ring=(corner, *plan.area.ring[1:]))
        begun = now()
        assess_live(attrs.evolve(plan, area=area), world, memory)
        found.append((now() - begun) * 1e3)
    wall, processor = np.median(found, axis=0)
    print(f"area's corner moved: median {wall:.1f} ms wall, {processor:.1f} ms processor")


def profiled() -> None:
    """Print where the time of the edits goes."""
    plan = course_plan(LegShape.STRAIGHT, with_area=False)
    world = surroundings(plan, known_sets={"demo-island": ISLAND})
    profile = cProfile.Profile()
    profile.runcall(times_ms, plan, world)
    pstats.Stats(profile).sort_stats("tottime").print_stats(35)


if __name__ == "__main__":
    profiled() if "--profile" in sys.argv else main()
