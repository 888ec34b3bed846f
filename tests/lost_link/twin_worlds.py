"""Random worlds and flights for the twin of what is flown on lost link: by a seed, each the same anywhere.

What is drawn keeps under its limits by little, so that what is flown beyond it decides. Pits, knolls and
closed airspace lie where that leads: beyond corners, ahead of edges, on the way home.
"""

import math
from collections.abc import Iterator
from datetime import timedelta

import attrs
import numpy as np

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import Aircraft, LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.world.airspace import AirspaceKind
from planner.world.world import World
from tests import worlds
from tests.lost_link.twin_air import ASKS, CLOSED
from tests.lost_link.twin_judge import Twin
from tests.worlds import GROUND_M, WINDOW, at

KINDS = (
    AirspaceKind.CLASS_D,
    AirspaceKind.CLASS_C,
    AirspaceKind.CLASS_E2,
    AirspaceKind.CLASS_E4,
    AirspaceKind.RESTRICTED,
    AirspaceKind.PROHIBITED,
    AirspaceKind.TEMPORARY,
)
ACTIONS = tuple(LinkLossAction)
REDRAWS = 8
REACH_M = {1.0: 300.0, 2.0: 450.0, 5.0: 700.0, 10.0: 800.0, 30.0: 900.0}


@attrs.frozen(eq=False)
class Case:
    """A plan, its world and the seed that makes both."""

    seed: int
    plan: Plan
    world: World


@attrs.frozen
class Flight:
    """What a draw has settled of the flight: where, how high, and how it comes on."""

    spots: tuple[tuple[float, float], ...]
    height_m: float
    speed_mps: float
    delay_s: float
    side_m: float
    action: LinkLossAction
    cell_m: float
    in_area: bool
    aim: str


def drawn(seed: int) -> Case:
    """Return the case of a seed; of some draws the first of which what is drawn is lawful, else the last."""
    rng = np.random.default_rng(seed)
    for _ in range(REDRAWS):
        case = _draw(seed, rng)
        if Twin(case.plan, case.world).drawn_above().depth_m < 0.0:
            break
    return case


def _draw(seed: int, rng: np.random.Generator) -> Case:
    flight = _flight(rng)
    purpose = Purpose.PART_107 if rng.random() < 0.6 else Purpose.RECREATIONAL
    terrain = _terrain(rng, flight)
    airspace = tuple(_volume(rng, flight, k) for k in range(rng.choice([0, 0, 1, 1, 2])))
    if purpose is Purpose.RECREATIONAL:
        # A climb through Class G above 400 ft into what begins over it is not asked, and has no permission.
        airspace = tuple(attrs.evolve(v, floor=worlds.SURFACE) if v.kind in ASKS else v for v in airspace)
    tower = _tower(rng, flight) if purpose is Purpose.PART_107 and rng.random() < 0.15 else None
    if tower is not None:
        flight = attrs.evolve(flight, height_m=float(rng.uniform(125.0, 160.0)))
    world = worlds.world(
        terrain=terrain,
        airspace=airspace,
        cells=(worlds.cell(int(rng.choice([100, 200, 400, 400]))),),
        structures=() if tower is None else (tower,),
    )
    plan = worlds.plan(
        purpose,
        guidelines="INVENTED GUIDELINES",
        aircraft=_aircraft(rng, flight),
        permissions=tuple(_records(rng, flight, airspace)),
        structures_standing=frozenset({"tower"}),
        **_drawn_flight(rng, flight),
    )
    return Case(seed, plan, world)


def _flight(rng: np.random.Generator) -> Flight:
    """Any flight; or one aimed at narrow pits: beyond corners of short legs, or ahead of an area's edge."""
    aim = str(rng.choice(["any", "corner", "edge"], p=[0.5, 0.25, 0.25]))
    cell_m = float(rng.choice([1.0, 2.0, 5.0, 10.0, 30.0], p=[0.1, 0.15, 0.3, 0.25, 0.2]))
    if aim == "corner":
        cell_m = float(rng.choice([2.0, 5.0]))
    spots, turn, far = [(0.0, 0.0)], rng.uniform(0, 2 * np.pi), math.exp(rng.uniform(1.2, 5.0))
    for _ in range(rng.integers(1, 7)):
        long = far * rng.uniform(0.4, 1.3) if aim != "corner" else rng.uniform(2.0, 12.0)
        spots.append((spots[-1][0] + long * math.cos(turn), spots[-1][1] + long * math.sin(turn)))
        turn += rng.uniform(-1.4, 1.4)
    # What it flies on and home stays over the raster.
    room = REACH_M[cell_m] - 200.0
    shrunk = min(1.0, room / max(math.hypot(*spot) for spot in spots))
    close = rng.uniform(100.0, 121.0)
    return Flight(
        tuple((x * shrunk, y * shrunk) for x, y in spots),
        height_m=float(close if aim != "any" or rng.random() < 0.5 else rng.uniform(20.0, 100.0)),
        speed_mps=float(rng.uniform(5.0, 20.0)),
        delay_s=float(rng.choice([0.0, 0.5, 1.5, 3.0, 6.0, 10.0] if aim == "any" else [0.2, 1.5, 3.0, 6.0])),
        side_m=float(min(rng.uniform(40.0, 160.0), REACH_M[cell_m] - 230.0)),
        action=ACTIONS[rng.integers(len(ACTIONS))],
        cell_m=cell_m,
        in_area=aim == "edge" or (aim == "any" and bool(rng.random() < 0.3)),
        aim=aim,
    )


def _ahead(rng: np.random.Generator, flight: Flight) -> tuple[float, float]:
    """A place where the flight may lead: beyond a corner, on a way home, ahead of an area's edge."""
    k = int(rng.integers(1, len(flight.spots)))
    (x0, y0), (x1, y1) = flight.spots[k - 1 : k + 1]
    share, away = rng.random(), max(math.hypot(x1 - x0, y1 - y0), 1.0)
    ahead = flight.speed_mps * max(flight.delay_s, 1.0 if flight.action is LinkLossAction.DROP else 0.5)
    where = rng.choice(4, p=(0.0, 0.25, 0.6, 0.15) if flight.in_area else (0.6, 0.25, 0.0, 0.15))
    match where:
        case 0:
            on = rng.uniform(0.0, ahead)
            return x1 + (x1 - x0) / away * on, y1 + (y1 - y0) / away * on
        case 1:
            return x1 * share, y1 * share
        case 2:
            out = flight.side_m + rng.uniform(2.0, ahead)
            side = rng.uniform(-flight.side_m, flight.side_m)
            return [(out, side), (-out, side), (side, out), (side, -out)][rng.integers(4)]
    return float(rng.uniform(-250, 250)), float(rng.uniform(-250, 250))


def _terrain(rng: np.random.Generator, flight: Flight):
    cell_m = flight.cell_m
    east, north = rng.uniform(-0.12, 0.12, 2) * rng.choice([0.0, 1.0, 2.0])
    swell, wave, phase = rng.choice([0.0, 5.0, 15.0]), rng.uniform(40.0, 250.0), rng.uniform(0, 6)
    if flight.aim == "corner":
        east, north, swell = 0.0, 0.0, 0.0
    rough = float(rng.choice([0.0, 0.0, 0.5]))
    wide_m = float(rng.choice([10.0, 25.0])) if flight.aim == "any" else cell_m * 1.6
    bumps = [
        (
            *_ahead(rng, flight),
            *rng.uniform(*sorted((max(cell_m * 0.7, 3.0), wide_m)), 2),
            rng.uniform(8.0, 50.0),
        )
        for _ in range(rng.integers(1, 6))
    ]
    knolls = [flight.aim == "any" and rng.random() < 0.2 for _ in bumps]
    cells = int(REACH_M[cell_m] / cell_m) * 2 + 1
    noise = rng.normal(0.0, 1.0, (cells, cells)) * rough

    def relief(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        high = GROUND_M + east * x + north * y + swell * np.sin(x / wave + phase) * np.cos(y / wave) + noise
        for (at_x, at_y, wide, long, deep), knoll in zip(bumps, knolls, strict=True):
            there = (np.abs(x - at_x) <= wide) & (np.abs(y - at_y) <= long)
            high = np.where(there, high + (min(deep, 15.0) if knoll else -deep), high)
        return high

    return worlds.terrain(
        relief,
        cell_m=cell_m,
        cells=cells,
        geographic=rng.random() < 0.3,
        horizontal_uncertainty_m=float(rng.choice([0.0, 0.0, 6.0])),
        vertical_uncertainty_m=float(rng.choice([0.0, 1.0])),
    )


def _volume(rng: np.random.Generator, flight: Flight, number: int):
    kind = KINDS[rng.integers(len(KINDS))]
    over = flight.height_m + rng.uniform(1.0, 30.0)
    low = rng.choice(4)
    floor = (
        worlds.SURFACE,
        worlds.SURFACE,
        worlds.above_ground(over),
        worlds.sea_level(GROUND_M + over),
    )[low]
    outline = worlds.disc(float(rng.uniform(900.0, 3_000.0)), corners=64)
    if kind in CLOSED or rng.random() < 0.5:
        size = float(rng.uniform(10.0, 120.0))
        centre = _ahead(rng, flight)
        outline = (
            worlds.disc(size, centre, 64)
            if rng.random() < 0.5
            else worlds.box(centre[0] - size, centre[1] - 20.0, centre[0] + size, centre[1] + 20.0)
        )
    top = None if rng.random() < 0.7 else worlds.above_ground(over + rng.uniform(5.0, 300.0))
    return worlds.volume(kind, outline, floor, top, name=f"AIR {number}")


def _records(rng: np.random.Generator, flight: Flight, airspace) -> Iterator:
    for volume in airspace:
        if rng.random() > 0.55:
            continue
        kind = PermissionKind.AGENCY if volume.kind in CLOSED else PermissionKind.AUTHORIZATION
        high = flight.height_m + float(rng.choice([rng.uniform(0.5, 6.0), rng.uniform(6.0, 25.0)]))
        ceiling = (AboveGround(high), AboveGround(high), AboveSeaLevel(GROUND_M + high), AboveLaunch(high))[
            rng.integers(4)
        ]
        ring = None
        if rng.random() < 0.3:
            out = float(max(max(abs(x), abs(y)) for x, y in flight.spots) + rng.uniform(15.0, 80.0))
            ring = worlds.area(worlds.box(-out, -out, out, out), None).ring
        yield worlds.record(
            volume.name,
            ceiling,
            kind,
            ring=ring,
            reference=f"INVENTED-{volume.name}",
            valid_from_utc=WINDOW.start_utc - timedelta(hours=1),
            valid_to_utc=WINDOW.end_utc,
        )


def _tower(rng: np.random.Generator, flight: Flight):
    k = int(rng.integers(len(flight.spots)))
    x, y = flight.spots[k]
    aside = (x + float(rng.uniform(-60, 60)), y + float(rng.uniform(-60, 60)))
    return worlds.tower(
        float(rng.uniform(150, 500)), aside, key="tower", horizontal_error_m=float(rng.choice([0.0, 6.0]))
    )


def _aircraft(rng: np.random.Generator, flight: Flight) -> Aircraft:
    action, height = flight.action, None
    if action is LinkLossAction.RETURN_FIXED:
        high = flight.height_m + float(rng.uniform(-30.0, 15.0))
        height = (AboveLaunch(high), AboveLaunch(high), AboveSeaLevel(GROUND_M + high))[rng.integers(3)]
    elif action is LinkLossAction.RETURN_OFFSET:
        height = AboveLaunch(float(rng.uniform(1.0, 20.0)))
    said = rng.random(5) < 0.85
    able = Performance(
        cruise_mps=flight.speed_mps if said[0] else None,
        highest_mps=flight.speed_mps * float(rng.uniform(1.0, 1.6)) if said[1] else None,
        climb_mps=float(rng.uniform(1.0, 6.0)) if said[2] else None,
        descent_mps=float(rng.uniform(1.0, 6.0)) if said[3] else None,
    )
    loss = LinkLoss(
        action,
        flight.delay_s if said[4] else None,
        height,
        needs_fix=True,
        needs_compass=True,
        speed_mps=min(12.0, able.highest_mps or flight.speed_mps),
        climb_mps=min(3.0, able.climb_mps or 3.0),
        descent_mps=min(2.0, able.descent_mps or 2.0),
        clear_by_m=0.5,
    )
    readout = Readout(ReadoutSource.BAROMETER, float(rng.choice([0.0, 0.0, 3.0])))
    return Aircraft("5-inch quad", 0.62, 0.35, readout=readout, link_loss=loss, performance=able)


def _drawn_flight(rng: np.random.Generator, flight: Flight) -> dict[str, object]:
    spot = GroundSpot(at(), LandStatus.OWN)
    ends = {"launch": spot, "landing": spot}
    high = flight.height_m
    kind = rng.integers(1, 4)
    if flight.in_area:
        side = flight.side_m
        top = (AboveGround(high), AboveGround(high), AboveLaunch(high), AboveSeaLevel(GROUND_M + high))[
            rng.integers(4)
        ]
        outline = worlds.box(-side, -side * float(rng.uniform(0.3, 1.0)), side, side)
        return {**ends, "path": (), "area": worlds.area(outline, top)}
    shapes = (LegShape.STRAIGHT, LegShape.STRAIGHT, LegShape.FOLLOW_GROUND)
    shape = (None, LegShape.STRAIGHT, LegShape.FOLLOW_GROUND, None)[kind]
    points = []
    for x, y in flight.spots:
        this = high - float(rng.choice([0.0, 0.0, rng.uniform(0.0, 15.0)]))
        height = (AboveGround(this), AboveGround(this), AboveLaunch(this), AboveSeaLevel(GROUND_M + this))[
            rng.integers(4) if kind == 3 else 0 if kind == 2 else 2
        ]
        (point,) = worlds.points([(x, y, height)], shape or shapes[rng.integers(3)])
        said = flight.speed_mps if rng.random() < 0.8 else None
        points.append(attrs.evolve(point, leg=attrs.evolve(point.leg, speed_mps=said)))
    return {**ends, "path": tuple(points)}
