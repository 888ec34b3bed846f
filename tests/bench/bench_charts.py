"""A whole country's charts: time to import them, to open a plan anywhere, to edit it; and the room it takes.

The country is invented (`tests.bench.national`). Aims: import at most twice a bare pyogrio read and write of
the same files, opening a plan's surroundings (50 km) at most 100 ms at the median, a live edit at most 16 ms
at the median, the process that has opened it at most 200 MB larger than before.

Run from the top of the checkout: ``python -m tests.bench.bench_charts [SHARE ...] [--driver GeoJSON]
[--plot GROWTH.svg]``. Each share of the country is measured by itself; the table at the end, and the
picture, show how the figures grow with its size. Times are the processor's, which other work on the
machine lengthens least.
"""

import argparse
import json
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pyogrio

from planner.assess import Memory, assess_live, follow
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.edits.path import MovePoint
from planner.plan.geometry import PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.surroundings import surroundings
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.bench import national
from tests.bench.growth_plot import draw

AREA = national.coast()
STATED = Statement("Invented Authority", "2026-05-14", cycle_days=56, covers=AREA)
LAYERS = ("facility_map", "class_airspace", "obstacles", "aerodromes")
OPENINGS, EDITS = 60, 200
START = datetime(2026, 6, 1, 19, tzinfo=UTC)


def bare(folder: Path, driver: str) -> dict[str, float]:
    """Return the time of reading and writing each file with pyogrio alone [s]."""
    times = {}
    for name in LAYERS:
        path = folder / f"{name}.{national.SUFFIXES[driver]}"
        with tempfile.TemporaryDirectory() as place:
            begun = time.process_time()
            meta, _, shapes, fields = pyogrio.raw.read(path)
            pyogrio.raw.write(
                Path(place) / "bare.gpkg",
                shapes,
                fields,
                list(meta["fields"]),
                layer=name,
                crs=meta["crs"],
                geometry_type=meta["geometry_type"],
                driver="GPKG",
            )
            times[name] = time.process_time() - begun
    return times


def imported(folder: Path, target: Path, driver: str) -> dict[str, float]:
    """Return the time of adding each file to a chart set [s]."""
    create_set(target, Identity("invented-country", "Invented country", "INVENTED", area=AREA))
    times = {}
    for name in LAYERS:
        path = folder / f"{name}.{national.SUFFIXES[driver]}"
        begun = time.process_time()
        add_files(target, [path], STATED)
        times[name] = time.process_time() - begun
    return times


def plan_at(place: Place, bearing_deg: float) -> Plan:
    """Return a plan of a path of 2 km."""
    far = travel(place, TrueBearing(bearing_deg), 1_000.0)
    farther = travel(far, TrueBearing(bearing_deg + 30), 1_000.0)
    return Plan(
        purpose=Purpose.PART_107,
        aircraft=Aircraft("5-inch quad", 0.62, 0.35),
        window=TimeWindow(START, START.replace(hour=20)),
        launch=GroundSpot(place, LandStatus.OWN),
        path=tuple(PathPoint(spot, AboveGround(30.0)) for spot in (place, far, farther)),
        chart_sets=("invented-country",),
    )


def opened(target: Path, share: float) -> dict[str, float]:
    """Return times of opening plans about towns and of editing them [ms], and growth [MB]."""
    random = np.random.default_rng(11)
    towns = national.towns(share)
    places = towns[random.integers(len(towns), size=OPENINGS)] + random.normal(0, 0.05, (OPENINGS, 2))
    known = {"invented-country": target}
    before_mb = resident_mb()
    loading, first, rest, edits, sizes = [], [], [], [], []
    for lon_deg, lat_deg in places:
        plan = plan_at(Place(lon_deg, lat_deg), random.uniform(0, 360))
        begun = time.process_time()
        world = surroundings(plan, known_sets=known)
        loading.append(time.process_time() - begun)
        sizes.append(len(world.cells) + len(world.structures) + len(world.airspace))
        memory = Memory()
        begun = time.process_time()
        live = assess_live(plan, world, memory)
        first.append(time.process_time() - begun)
        begun = time.process_time()
        follow(live)
        rest.append(time.process_time() - begun)
        for step in range(EDITS // OPENINGS + 1):
            moved = travel(plan.path[1].place, TrueBearing(90.0), 3.0 * (step + 1))
            begun = time.process_time()
            plan = MovePoint(1, moved).apply(plan)
            assess_live(plan, world, memory)
            edits.append(time.process_time() - begun)
    return {
        "features": float(np.median(sizes)),
        "densest": float(np.max(sizes)),
        "open_ms": 1e3 * float(np.median(loading[1:])),
        "open_95_ms": 1e3 * float(np.percentile(loading[1:], 95)),
        "open_first_ms": 1e3 * loading[0],
        "assess_first_ms": 1e3 * float(np.median(first)),
        "follow_first_ms": 1e3 * float(np.median(rest)),
        "edit_ms": 1e3 * float(np.median(edits)),
        "edit_95_ms": 1e3 * float(np.percentile(edits, 95)),
        "growth_mb": resident_mb() - before_mb,
    }


def resident_mb() -> float:
    """Return the memory the process holds now [MB]."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def apart(work, *arguments):
    """Do work in a fresh process, so that its room is its own; return its answer and its peak [MB]."""
    context = multiprocessing.get_context("spawn")
    with context.Pool(1) as pool:
        return pool.apply(_with_peak, (work, *arguments))


def _with_peak(work, *arguments):
    return work(*arguments), peak_mb()


def measured(share: float, driver: str, keep: Path | None) -> dict[str, object]:
    """Return every figure of one size of country."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(keep or scratch) / f"country-{share:g}-{driver}"
        if not folder.is_dir():
            folder.mkdir(parents=True)
            for made in national.country(share).values():
                made.write(folder, driver)
        target = Path(scratch) / "set"
        bare_s, bare_peak = apart(bare, folder, driver)
        import_s, import_peak = apart(imported, folder, target, driver)
        figures, _ = apart(opened, target, share)
        size_mb = (target / "charts.gpkg").stat().st_size / 1e6
    return {
        "share": share,
        "driver": driver,
        "set_mb": size_mb,
        "bare_s": bare_s,
        "import_s": import_s,
        "import_total_s": sum(import_s.values()),
        "import_ratio": sum(import_s.values()) / sum(bare_s.values()),
        "bare_peak_mb": bare_peak,
        "import_peak_mb": import_peak,
        **figures,
    }


def report(found: dict[str, object]) -> None:
    """Print the figures of one size of country."""
    print(f"\nshare {found['share']:g} of the country, {found['driver']}, set of {found['set_mb']:.0f} MB")
    for name in LAYERS:
        own, bare_s = found["import_s"][name], found["bare_s"][name]
        print(f"  import {name:15} {own:6.1f} s, bare {bare_s:6.1f} s, {own / bare_s:4.2f} times")
    ratio = found["import_ratio"]
    print(f"  import of all {ratio:.2f} times the bare one ({verdict(ratio, 2.0)})")
    print(f"  peak while importing {found['import_peak_mb']:.0f} MB, bare {found['bare_peak_mb']:.0f} MB")
    print(
        f"  open {found['open_ms']:.0f} ms median ({verdict(found['open_ms'], 100.0)}), "
        f"95 % {found['open_95_ms']:.0f}, the very first {found['open_first_ms']:.0f}; "
        f"{found['features']:.0f} features about, at most {found['densest']:.0f}"
    )
    print(
        f"  first live assessment {found['assess_first_ms']:.0f} ms median, "
        f"what follows it on a worker {found['follow_first_ms']:.0f}"
    )
    print(
        f"  edit {found['edit_ms']:.1f} ms median ({verdict(found['edit_ms'], 16.0)}), "
        f"95 % {found['edit_95_ms']:.1f}"
    )
    print(f"  process grown by {found['growth_mb']:.0f} MB ({verdict(found['growth_mb'], 200.0)})")


def verdict(value: float, aim: float) -> str:
    return f"within {aim:g}" if value <= aim else f"OVER {aim:g}"


def growth_table(all_found: list[dict[str, object]]) -> None:
    """Print how the figures grow with the country."""
    print("\ncountry  set MB  import s  open ms  edit ms  grown MB")
    longest = max(sum(found["import_s"].values()) for found in all_found)
    for found in all_found:
        seconds = sum(found["import_s"].values())
        print(
            f"{found['share']:7.2f} {found['set_mb']:7.0f} {seconds:9.1f} {found['open_ms']:8.0f} "
            f"{found['edit_ms']:8.1f} {found['growth_mb']:9.0f}  {'#' * round(30 * seconds / longest)}"
        )


def main() -> None:
    """Measure each share of the country."""
    parser = argparse.ArgumentParser()
    parser.add_argument("shares", type=float, nargs="*", default=[0.1, 0.3, 1.0])
    parser.add_argument("--driver", choices=list(national.SUFFIXES), default="GPKG")
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--json", type=Path)
    parser.add_argument("--plot", type=Path)
    chosen = parser.parse_args()
    all_found = []
    for share in chosen.shares:
        all_found.append(measured(share, chosen.driver, chosen.keep))
        report(all_found[-1])
    growth_table(all_found)
    if chosen.json:
        chosen.json.write_text(json.dumps(all_found, indent=1), encoding="utf-8")
    if chosen.plot:
        draw(all_found, chosen.plot)


if __name__ == "__main__":
    sys.exit(main())
