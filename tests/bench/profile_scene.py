"""An invented path past a ridge, a mast, a surface area, a shelf and a void, in as many samples as asked for.

Its ceilings are set out by hand, not worked out by the program, so that the profile can be tried without it.
"""

import attrs
import numpy as np

from planner.assessment import Assessment
from planner.ceiling.profile import Binding, CeilingProfile
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.geometry import PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.track.track import Track
from planner.units import FOOT_M, GROUND_LIMIT_M
from planner.world.structures import Structure
from planner.world.world import World

ORIGIN = Place(-150.2, 37.8)
LENGTH_M = 9700.0
SURFACE_AREAS_M = ((0.0, 1850.0), (8500.0, LENGTH_M))
SHELF_M = (5750.0, 7000.0)
VOID_M = (7350.0, 7750.0)
MAST_M = 4050.0
MAST_TOP_FT = 540.0
SHELF_FLOOR_FT = 900.0
ASK_AGL_FT = 200.0
RADIUS_M = 400 * FOOT_M

_CORNERS_M = np.array(
    [0, 900, 1500, 2300, 3050, 3300, 3600, 4050, 4700, 5600, 6400, 7200, 7900, 8800, 9700.0]
)
_CORNER_AGL_FT = np.array([60, 150, 185, 330, 360, 470, 380, 390, 300, 330, 240, 260, 250, 120, 60.0])


def ground_ft(distance_m: np.ndarray) -> np.ndarray:
    """Return the invented ground [ft AMSL]."""
    hill = 620 * np.exp(-(((distance_m - 1350) / 900) ** 2))
    ridge = 560 * np.exp(-(((distance_m - 6400) / 620) ** 2))
    far_hill = 420 * np.exp(-(((distance_m - 8600) / 800) ** 2))
    rough = 9 * np.sin(distance_m / 63) + 5 * np.sin(distance_m / 17 + 1)
    return 190 + hill + ridge + far_hill + rough


def build(samples: int = 3200, lift_ft: float = 0.0) -> Assessment:
    """Return an assessment with about that many samples, every point lifted."""
    borders_m = np.array([*SURFACE_AREAS_M, SHELF_M, VOID_M, (MAST_M - RADIUS_M, MAST_M + RADIUS_M)]).ravel()
    borders_m = np.sort(borders_m[(borders_m > 0) & (borders_m < LENGTH_M)])
    even_m = np.linspace(0, LENGTH_M, samples - 2 * len(borders_m) - len(_CORNERS_M) + 2)
    distance_m = np.sort(np.concatenate((even_m, borders_m, borders_m, _CORNERS_M[1:-1])))
    stretch = np.searchsorted(borders_m, distance_m, "left")
    second = np.flatnonzero(np.diff(distance_m, prepend=-1.0) == 0)
    stretch[second] = np.searchsorted(borders_m, distance_m[second], "right")
    return _assessment(distance_m, stretch, np.concatenate(([0.0], borders_m, [LENGTH_M])), lift_ft)


def _assessment(
    distance_m: np.ndarray, stretch: np.ndarray, edges_m: np.ndarray, lift_ft: float
) -> Assessment:
    middle_m = ((edges_m[:-1] + edges_m[1:]) / 2)[stretch]

    def within(bounds_m: tuple[float, float]) -> np.ndarray:
        return (middle_m > bounds_m[0]) & (middle_m < bounds_m[1])

    ground_m = np.where(within(VOID_M), np.nan, ground_ft(distance_m) * FOOT_M)
    corner_m = (ground_ft(_CORNERS_M) + _CORNER_AGL_FT + lift_ft) * FOOT_M
    planned_m = np.interp(distance_m, _CORNERS_M, corner_m)
    in_area = within(SURFACE_AREAS_M[0]) | within(SURFACE_AREAS_M[1])
    profile = _profile(planned_m, ground_m, in_area, within(SHELF_M), middle_m)
    frame = LocalFrame(ORIGIN)
    lon_deg, lat_deg = frame.inverse(distance_m, np.zeros(len(distance_m)))
    leg = np.clip(np.searchsorted(_CORNERS_M, distance_m, "left") - 1, 0, len(_CORNERS_M) - 2)
    track = Track(
        frame=frame,
        distance_m=distance_m,
        x_m=distance_m,
        y_m=np.zeros(len(distance_m)),
        lon_deg=lon_deg,
        lat_deg=lat_deg,
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=ground_m,
        planned_amsl_m=planned_m,
        leg=leg,
        fraction=(distance_m - _CORNERS_M[leg]) / np.diff(_CORNERS_M)[leg],
        stretch=stretch,
        inside=np.zeros((len(edges_m) - 1, 0), dtype=bool),
        point_sample=np.searchsorted(distance_m, _CORNERS_M),
        launch_ground_amsl_m=float(ground_m[0]),
    )
    return Assessment(
        plan=_plan(track),
        world=_WORLD,
        verdict=Verdict.MUST_CHANGE,
        reason="",
        findings=(),
        permissions=(),
        data=(),
        track=track,
        profile=profile,
    )


def _profile(
    planned_m: np.ndarray,
    ground_m: np.ndarray,
    in_area: np.ndarray,
    shelf: np.ndarray,
    middle_m: np.ndarray,
) -> CeilingProfile:
    near_mast = np.abs(middle_m - MAST_M) < RADIUS_M
    ground_limit_m = ground_m + GROUND_LIMIT_M
    limit_m = np.where(near_mast, MAST_TOP_FT * FOOT_M + GROUND_LIMIT_M, ground_limit_m)
    floor_m = SHELF_FLOOR_FT * FOOT_M
    under_shelf = shelf & (floor_m < limit_m)
    free_m = np.where(under_shelf, floor_m, limit_m)
    ceiling_m = np.where(in_area, ground_m, free_m)
    asked_m = np.where(in_area, ground_m + ASK_AGL_FT * FOOT_M, limit_m)
    binding = np.full(len(planned_m), Binding.GROUND.value, dtype=object)
    name = np.full(len(planned_m), "", dtype=object)
    for where, kind, what in (
        (near_mast, Binding.STRUCTURE, "Tern mast"),
        (under_shelf, Binding.AIRSPACE_FLOOR, "Corrow Class C"),
        (in_area, Binding.NO_PERMISSION, "Corrow Field Class D"),
        (np.isnan(ground_m), Binding.UNKNOWN, ""),
    ):
        binding[where], name[where] = kind.value, what
    return CeilingProfile(
        ceiling_amsl_m=ceiling_m,
        requestable_amsl_m=asked_m,
        ground_limit_amsl_m=ground_limit_m,
        binding=tuple(Binding(value) for value in binding),
        binding_name=tuple(name),
        in_closed=np.zeros(len(planned_m), dtype=bool),
        in_unpermitted=in_area | (under_shelf & (planned_m > floor_m)),
        uncertainty_m=np.full(len(planned_m), 6.0),
    )


def _plan(track: Track) -> Plan:
    kinds = (AboveSeaLevel, AboveGround, AboveLaunch)
    points = []
    for number, sample in enumerate(track.point_sample):
        kind = kinds[number % 3]
        zeros_m = (0.0, track.ground_amsl_m[sample], track.launch_ground_amsl_m)
        height = kind(track.planned_amsl_m[sample] - zeros_m[number % 3])
        points.append(PathPoint(Place(track.lon_deg[sample], track.lat_deg[sample]), height))
    launch = GroundSpot(points[0].place)
    return Plan(name="Ridge, mast and shelf (INVENTED)", path=tuple(points), launch=launch)


def _mast() -> Structure:
    frame = LocalFrame(ORIGIN)
    return Structure(
        key="mast",
        kind="TOWER",
        name="Tern mast",
        place=frame.xy_to_place(MAST_M, 40.0),
        top_amsl_m=MAST_TOP_FT * FOOT_M,
        height_agl_m=MAST_TOP_FT * FOOT_M - float(ground_ft(np.array(MAST_M))) * FOOT_M,
        horizontal_error_m=6.0,
        vertical_error_m=1.0,
    )


_WORLD = World(structures=(_mast(), attrs.evolve(_mast(), key="far", place=Place(-150.1, 37.7))))
