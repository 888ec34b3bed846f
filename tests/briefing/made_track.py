"""Track and ceiling of a made plan: as simple as the drawing of them allows."""

import numpy as np

from planner.ceiling.profile import Binding, CeilingProfile
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.track.track import Track
from planner.world.world import World
from tests.briefing.made_world import FRAME, ground_m

PER_LEG = 25


def track_and_profile(made: Plan, around: World) -> tuple[Track | None, CeilingProfile | None]:
    if len(made.path) < 2 or around.terrain is None:
        return None, None
    track = track_of(made, around)
    return track, profile_of(track)


def track_of(made: Plan, around: World) -> Track:
    legs = np.repeat(np.arange(len(made.path) - 1), PER_LEG)
    share = np.tile(np.linspace(0, 1, PER_LEG), len(made.path) - 1)
    lon = _between([point.place.lon_deg for point in made.path], legs, share)
    lat = _between([point.place.lat_deg for point in made.path], legs, share)
    x_m, y_m = FRAME.forward(lon, lat)
    ground = ground_m([Place(a, b) for a, b in zip(lon, lat, strict=True)], around.terrain)
    launch = float(ground_m([made.launch.place], around.terrain)[0]) if made.launch else float("nan")
    at_points = [*ground[::PER_LEG], ground[-1]]
    planned = _between(
        [_above_sea(point.height, below, launch) for point, below in zip(made.path, at_points, strict=True)],
        legs,
        share,
    )
    steps = np.hypot(np.hypot(np.diff(x_m), np.diff(y_m)), np.diff(np.nan_to_num(planned)))
    return Track(
        frame=FRAME,
        distance_m=np.concatenate([[0.0], np.cumsum(steps)]),
        x_m=x_m,
        y_m=y_m,
        lon_deg=lon,
        lat_deg=lat,
        ground_amsl_m=ground,
        lowest_ground_amsl_m=ground,
        planned_amsl_m=planned,
        leg=legs,
        fraction=share,
        stretch=legs,
        inside=np.zeros((len(made.path) - 1, 0), dtype=bool),
        point_sample=np.append(np.arange(0, len(lon), PER_LEG), len(lon) - 1),
        launch_ground_amsl_m=launch,
    )


def profile_of(track: Track) -> CeilingProfile:
    """No permission on the first two legs, a mast on the fourth, ground + 400 ft elsewhere."""
    ground = track.ground_amsl_m
    below, by_mast = track.leg < 2, track.leg == 3
    ceiling = np.where(below, ground, ground + 121.92)
    ceiling = np.where(by_mast, np.maximum(ceiling, 521.9), ceiling)
    kinds = {(True, False): Binding.NO_PERMISSION, (False, True): Binding.STRUCTURE}
    pairs = list(zip(below.tolist(), by_mast.tolist(), strict=True))
    return CeilingProfile(
        ceiling_amsl_m=ceiling,
        requestable_amsl_m=np.where(below, ground + 60.96, ceiling),
        ground_limit_amsl_m=ground + 121.92,
        binding=tuple(kinds.get(pair, Binding.GROUND) for pair in pairs),
        binding_name=tuple("INVENTED FIELD" if one else "Invented mast" if two else "" for one, two in pairs),
        in_closed=np.zeros(len(track), bool),
        in_unpermitted=below,
        uncertainty_m=np.full(len(track), 4.0),
    )


def _between(at_points, legs, share):
    values = np.asarray(at_points, dtype=float)
    return values[legs] + share * (values[legs + 1] - values[legs])


def _above_sea(height, ground, launch):
    match height:
        case AboveGround(m):
            return ground + m
        case AboveLaunch(m):
            return launch + m
        case AboveSeaLevel(m):
            return m
