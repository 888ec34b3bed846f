"""A large state's AIXM airspace: how long its import takes.

The airspace is invented: circles, rings of geodesics, sectors with arcs, 75 corners on average. Aim: 20,000
of them within 10 s of the processor's time; on two busy cores it takes about 15.

Run from the top of the checkout: ``python -m tests.bench.bench_aixm [COUNT]``.
"""

import math
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from geographiclib.geodesic import Geodesic

from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.aixm_files import (
    airspace,
    arc_about_centre,
    circle,
    component,
    geodesics,
    surface,
    write_aixm,
)

NMI_M = 1852.0


def airspaces(count: int, seed: int = 1) -> list[str]:
    """Return airspaces of every usual outline, in the open ocean."""
    random = np.random.default_rng(seed)
    found = []
    for number in range(count):
        lat_deg, lon_deg = random.uniform(30, 48), random.uniform(-170, -130)
        size = random.uniform(0.05, 0.4)
        outline = (
            circle(lat_deg, lon_deg, random.uniform(2, 15)),
            geodesics(ring(lat_deg, lon_deg, int(random.integers(4, 200)), size)),
            sector(lat_deg, lon_deg, random.uniform(3, 20)),
            geodesics(ring(lat_deg, lon_deg, 8, size)),
        )[number % 4]
        shape = component(surface(outline))
        found.append(airspace(shape, name=f"INVENTED {number}", type_="RDP"[number % 3], ident=f"id{number}"))
    return found


def ring(lat_deg: float, lon_deg: float, corners: int, size_deg: float) -> list[tuple[float, float]]:
    turn = [2 * math.pi * number / corners for number in range(corners)]
    found = [
        (float(lat_deg + size_deg * math.sin(one)), float(lon_deg + size_deg * math.cos(one))) for one in turn
    ]
    return [*found, found[0]]


def sector(lat_deg: float, lon_deg: float, radius_nmi: float) -> str:
    ends = [Geodesic.WGS84.Direct(lat_deg, lon_deg, azimuth, radius_nmi * NMI_M) for azimuth in (120, 0)]
    corners = [(end["lat2"], end["lon2"]) for end in ends]
    return arc_about_centre(float(lat_deg), float(lon_deg), float(radius_nmi), 0, 120) + geodesics(
        [corners[0], (float(lat_deg), float(lon_deg)), corners[1]]
    )


def main() -> None:
    """Measure one import."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        path = write_aixm(folder, *airspaces(count))
        create_set(folder / "set", Identity("invented", "Invented", "INVENTED"))
        begun = time.process_time()
        (added,) = add_files(folder / "set", [path], Statement("Invented Authority"))
        took_s = time.process_time() - begun
        print(f"{added.entry['features']:,} airspaces, {path.stat().st_size / 1e6:.0f} MB: {took_s:.1f} s")


if __name__ == "__main__":
    main()
