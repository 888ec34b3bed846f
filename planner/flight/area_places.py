"""Places of a flying area as a track: what is asked of every sample of a path can be asked of them.

They have no order: nothing that asks for times or lengths along a path may be put to them.
"""

from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.cover import Cover
from planner.flight.motion import Motion
from planner.flight.obstacles import Obstacles
from planner.geo.frame import LocalFrame
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

# So many places of an area are looked at, its edge above all.
_MOST_PLACES: Final = 160
# As high as it is when it has just taken off: own choice.
LOW_M: Final = 1.0

_OF_SAMPLES: Final = (
    "distance_m", "x_m", "y_m", "lon_deg", "lat_deg", "ground_amsl_m", "lowest_ground_amsl_m",
    "planned_amsl_m", "leg", "fraction", "stretch",
)  # fmt: skip


def places_of(
    area: AreaSamples, frame: LocalFrame, hub: tuple[float, float] | None, *, at_top: bool
) -> Track:
    """Return places of an area at its top, or on its ground, the highest first.

    Among them are its corners, the place farthest from `hub` and the one with the highest ground: no way
    home in a steady wind takes more than from a corner.
    """
    count = len(area.x_m)
    wanted = [np.linspace(0, count - 1, min(count, _MOST_PLACES)).astype(np.int64), _corners(area)]
    if hub is not None:
        wanted.append(np.array([np.argmax(np.hypot(area.x_m - hub[0], area.y_m - hub[1]))]))
    if not np.isnan(area.ground_amsl_m).all():
        wanted.append(np.array([np.nanargmax(area.ground_amsl_m)]))
    chosen = np.unique(np.concatenate(wanted))
    flown_m = area.planned_amsl_m if at_top else area.ground_amsl_m + LOW_M
    chosen = chosen[np.argsort(-np.nan_to_num(flown_m[chosen], nan=-np.inf), kind="stable")]
    x_m, y_m = area.x_m[chosen], area.y_m[chosen]
    lon_deg, lat_deg = frame.inverse(x_m, y_m)
    none = np.zeros(len(chosen), dtype=np.int64)
    return Track(
        frame=frame,
        distance_m=none.astype(float),
        x_m=x_m,
        y_m=y_m,
        lon_deg=lon_deg,
        lat_deg=lat_deg,
        ground_amsl_m=area.ground_amsl_m[chosen],
        lowest_ground_amsl_m=area.lowest_ground_amsl_m[chosen],
        planned_amsl_m=flown_m[chosen],
        leg=none,
        fraction=none.astype(float),
        stretch=none,
        inside=np.zeros((1, 0), dtype=bool),
        point_sample=none[:1],
        launch_ground_amsl_m=area.launch_ground_amsl_m,
    )


def _corners(area: AreaSamples) -> NDArray[np.int64]:
    """Return the samples at the corners of an area, or nearest to them."""
    known = area.kept.get("corners")
    if isinstance(known, np.ndarray):
        return known
    corners = np.unique(shapely.get_coordinates(shapely.convex_hull(area.footprint)), axis=0)
    nearest = [int(np.argmin((area.x_m - x_m) ** 2 + (area.y_m - y_m) ** 2)) for x_m, y_m in corners]
    found = area.kept["corners"] = np.unique(np.array(nearest, dtype=np.int64))
    return found


def repeated(places: Track, rows: NDArray[np.int64], x_m: Floats, y_m: Floats, ground: PlaneTerrain) -> Track:
    """Return places of some rows, each moved to a plane position, as high as it was."""
    taken = {name: getattr(places, name)[rows] for name in _OF_SAMPLES}
    under_m = ground.ground(x_m, y_m)
    lon_deg, lat_deg = places.frame.inverse(x_m, y_m)
    there = {"x_m": x_m, "y_m": y_m, "lon_deg": lon_deg, "lat_deg": lat_deg}
    return attrs.evolve(places, **taken | there | {"ground_amsl_m": under_m, "lowest_ground_amsl_m": under_m})


def outside_of(places: Track, cover: Cover, obstacles: Obstacles) -> Track:
    """Return those places that lie in no trees, building or structure: nobody flies there."""
    spots = np.asarray(shapely.points(places.x_m, places.y_m), dtype=object)
    inside = np.zeros(len(places), dtype=bool)
    which, rows = shapely.STRtree(spots).query(cover.shapes, predicate="intersects")
    inside[rows[places.planned_agl_m[rows] < cover.height_m[which]]] = True
    for x_m, y_m, top_m, radius_m in zip(
        obstacles.x_m, obstacles.y_m, obstacles.top_amsl_m, obstacles.radius_m, strict=True
    ):
        apart = np.hypot(places.x_m - x_m, places.y_m - y_m)
        inside |= (apart <= radius_m) & (places.planned_amsl_m < top_m)
    return only(places, ~inside)


def only(places: Track, kept: NDArray[np.bool_]) -> Track:
    """Return some of the places."""
    rows = np.flatnonzero(kept)
    return attrs.evolve(places, **{name: getattr(places, name)[rows] for name in _OF_SAMPLES})


def standing(places: Track) -> Motion:
    """Return the motion of what stands at each place."""
    still, yes = np.zeros(len(places)), np.ones(len(places), dtype=bool)
    names = {field.name for field in attrs.fields(Motion)}
    masks = {"held": yes, "held_in_gusts": yes, "slowed": ~yes, "assumed_speed": ~yes}
    return Motion(**{name: masks.get(name, still) for name in names})
