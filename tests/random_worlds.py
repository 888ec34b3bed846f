"""Random worlds and flights in them, small enough to be asked point by point.

LOWLINE_EXAMPLES sets how many each test draws, and lets them be new ones each
time (nightly: some thousands); without it each run draws the same. Tests that
ask for SHARDS draw them in parts, which pytest can run side by side.
"""

import os
from datetime import timedelta

import attrs
import numpy as np
import shapely
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.geometry import Area, Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit
from planner.world.world import World
from tests import worlds
from tests.worlds import WINDOW, at, ft

_EXAMPLES = os.environ.get("LOWLINE_EXAMPLES", "")


SHARDS = range(max(int(_EXAMPLES or 0) // 500, 1))


def unhurried(examples: int, *, shards: int = 1) -> settings:
    """So many examples, each as slow as it needs to be; what fails is not shrunk, that takes hours."""
    return settings(
        max_examples=max(int(_EXAMPLES) * examples // 300 // shards, 10) if _EXAMPLES else examples,
        derandomize=not _EXAMPLES,
        deadline=None,
        phases=(Phase.explicit, Phase.generate),
        report_multiple_bugs=False,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )


REACH_M = 900
BASE_M = 300

Offsets = tuple[float, float]

AIRSPACE_NAMES = ("ALPHA", "BRAVO")
SITE_NAME = "INVENTED MEADOW"
KINDS = (
    AirspaceKind.CLASS_B,
    AirspaceKind.CLASS_C,
    AirspaceKind.CLASS_D,
    AirspaceKind.CLASS_D,
    AirspaceKind.CLASS_E2,
    AirspaceKind.CLASS_E_OTHER,
    AirspaceKind.CLASS_E4,
    AirspaceKind.PROHIBITED,
    AirspaceKind.RESTRICTED,
    AirspaceKind.TEMPORARY,
    AirspaceKind.MILITARY_OPERATIONS,
)

EXACT = st.just(0.0)

metres = st.integers(-REACH_M, REACH_M).map(float)
offsets = st.tuples(metres, metres)


@st.composite
def terrains(draw: st.DrawFn, *, voids: bool = True, sideways: st.SearchStrategy[float] = EXACT):
    """Rough, level or stepped ground, in UTM or in longitude and latitude; rarely with a hole.

    `sideways` draws the raster's horizontal uncertainty [m].
    """
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    cell_m = draw(st.sampled_from([60.0, 111.0, 250.0]))
    cells = int(2600 / cell_m)
    rough_m = draw(st.sampled_from([0.0, 15.0, 150.0]))
    step_m = draw(st.sampled_from([0.0, 0.0, 180.0]))
    noise = rng.normal(0.0, 1.0, (cells, cells)) * rough_m
    hole = voids and draw(st.integers(0, 9)) == 0
    spot = tuple(rng.integers(2, cells - 2, 2))

    def relief(east_m, north_m):
        heights = BASE_M + noise + np.where(east_m + 0.3 * north_m < 77, step_m, 0.0)
        if hole:
            heights[spot] = np.nan
        return heights

    return worlds.terrain(
        relief,
        cell_m=cell_m,
        cells=cells,
        geographic=draw(st.booleans()),
        horizontal_uncertainty_m=draw(sideways),
    )


@st.composite
def outlines(draw: st.DrawFn) -> shapely.Polygon:
    """A disc, a box or a crooked polygon; some hold everything."""
    shape = draw(st.sampled_from(["disc", "box", "crooked", "all"]))
    if shape == "all":
        return worlds.disc(4_000.0, corners=64)
    centre = draw(offsets)
    size_m = draw(st.integers(80, 900))
    if shape == "disc":
        return worlds.disc(float(size_m), centre, 64)
    if shape == "box":
        return worlds.box(centre[0] - size_m, centre[1] - 150, centre[0] + size_m, centre[1] + 150)
    angles = np.radians(np.arange(7) * 360 / 7 + draw(st.integers(0, 50)))
    reach = [size_m * draw(st.floats(0.2, 1.0)) for _ in angles]
    return worlds.polygon(
        [(centre[0] + r * np.sin(a), centre[1] + r * np.cos(a)) for r, a in zip(reach, angles, strict=True)]
    )


@st.composite
def limits(draw: st.DrawFn, low_m: float, high_m: float, others: tuple[LimitReference, ...]) -> VerticalLimit:
    reference = draw(
        st.sampled_from([LimitReference.SEA_LEVEL, LimitReference.ABOVE_GROUND, *others, *others])
    )
    height_m = draw(st.floats(low_m, high_m))
    if reference is LimitReference.SEA_LEVEL:
        return VerticalLimit(reference, BASE_M + height_m)
    return (
        VerticalLimit(reference, height_m)
        if reference is LimitReference.ABOVE_GROUND
        else VerticalLimit(reference)
    )


@st.composite
def volumes(draw: st.DrawFn, key: str) -> AirspaceVolume:
    floor = draw(limits(5.0, 180.0, (LimitReference.SURFACE, LimitReference.SURFACE, LimitReference.UNKNOWN)))
    if draw(st.integers(0, 3)) == 0 and floor.reference in (
        LimitReference.SEA_LEVEL,
        LimitReference.ABOVE_GROUND,
    ):
        # Thin: a climb between two samples could jump it.
        top = attrs.evolve(floor, m=floor.m + draw(st.floats(0.5, 15.0)))
    else:
        top = draw(limits(185.0, 900.0, (LimitReference.UNLIMITED, LimitReference.UNKNOWN)))
    ends = {0: WINDOW.start_utc - timedelta(hours=1), 1: WINDOW.start_utc + timedelta(minutes=20)}
    return AirspaceVolume(
        key=key,
        name=draw(st.sampled_from(AIRSPACE_NAMES)),
        kind=draw(st.sampled_from(KINDS)),
        outline=draw(outlines()),
        floor=floor,
        top=top,
        active_to_utc=ends.get(draw(st.integers(0, 9))),
    )


@st.composite
def cells_of(draw: st.DrawFn):
    """A patch of cells with some values missing, or none at all."""
    if draw(st.booleans()):
        return ()
    edges = [-2_000.0, draw(metres), 2_000.0]
    found = []
    for column in range(2):
        for row in range(2):
            value = draw(st.sampled_from([0, 100, 200, 400, 400, None]))
            box = worlds.box(edges[column], edges[row], edges[column + 1], edges[row + 1])
            found.append(worlds.cell(value, box, key=f"cell {column} {row}"))
    return tuple(found)


@st.composite
def structures(draw: st.DrawFn, key: str):
    errors = draw(st.sampled_from([(0.0, 0.0), (ft(50), ft(10)), (None, 1.0), (ft(500), ft(3))]))
    return worlds.tower(
        draw(st.integers(60, 900)),
        draw(offsets),
        base_m=BASE_M,
        key=key,
        horizontal_error_m=errors[0],
        vertical_error_m=errors[1],
        dismantled=draw(st.integers(0, 9)) == 0,
    )


@st.composite
def heights(draw: st.DrawFn, high_m: float = 330.0) -> Height:
    above_m = draw(st.floats(0.0, high_m))
    kind = draw(st.sampled_from([AboveGround, AboveGround, AboveLaunch, AboveSeaLevel]))
    return kind(BASE_M + above_m if kind is AboveSeaLevel else above_m)


@st.composite
def records(draw: st.DrawFn, reference: str) -> PermissionRecord:
    ring = draw(outlines()) if draw(st.integers(0, 2)) == 0 else None
    stale = draw(st.integers(0, 5)) == 0
    return PermissionRecord(
        reference=reference,
        kind=draw(st.sampled_from(PermissionKind)),
        airspace=draw(st.sampled_from([*AIRSPACE_NAMES, *AIRSPACE_NAMES, SITE_NAME, "14 CFR 107.51"])),
        ceiling=draw(st.none() | heights(500.0)),
        ring=None if ring is None else worlds.area(ring, None).ring,
        valid_to_utc=WINDOW.start_utc if stale else None,
    )


@st.composite
def random_worlds(
    draw: st.DrawFn, *, voids: bool = True, sideways: st.SearchStrategy[float] = EXACT
) -> World:
    sites = ()
    if draw(st.booleans()):
        sites = (worlds.fixed_site(draw(outlines()), draw(st.sampled_from([None, 250, 700]))),)
    return worlds.world(
        terrain=draw(terrains(voids=voids, sideways=sideways)),
        airspace=tuple(draw(volumes(f"volume {k}")) for k in range(draw(st.integers(0, 3)))),
        cells=draw(cells_of()),
        structures=tuple(draw(structures(f"tower {k}")) for k in range(draw(st.integers(0, 2)))),
        fixed_sites=sites,
    )


@st.composite
def paths(draw: st.DrawFn) -> tuple[PathPoint, ...]:
    """Two to four points; some legs are vertical."""
    found: list[PathPoint] = []
    for _ in range(draw(st.integers(2, 4))):
        upright = bool(found) and draw(st.integers(0, 4)) == 0
        place = found[-1].place if upright else at(*draw(offsets))
        found.append(PathPoint(place, draw(heights()), Leg(draw(st.sampled_from(LegShape)))))
    return tuple(found)


@st.composite
def random_plans(draw: st.DrawFn, *, with_area: bool = False) -> Plan:
    """A complete plan, its launch in reach of the path."""
    outline = draw(outlines()) if with_area else None
    return worlds.plan(
        draw(st.sampled_from(Purpose)),
        path=() if with_area else draw(paths()),
        area=None if outline is None else area_of(outline, draw(heights())),
        launch=GroundSpot(at(*draw(offsets)), LandStatus.OWN),
        landing=None,
        guidelines="INVENTED GUIDELINES",
        permissions=tuple(draw(records(f"INVENTED-{k}")) for k in range(draw(st.integers(0, 3)))),
        structures_standing=frozenset({"tower 0"} if draw(st.booleans()) else {"tower 0", "tower 1"}),
    )


def area_of(outline: shapely.Polygon, top: Height) -> Area:
    return Area(tuple(Place(lon, lat) for lon, lat in outline.exterior.coords[:-1]), top)
