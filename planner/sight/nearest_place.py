"""The nearest place beside somebody's own from which a stretch of the path is in sight."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.along import GRAVEST_FIRST, Conditions, Sight, SightProfile, Viewer, sight_along
from planner.sight.fan import Eyes, who_sees
from planner.sight.footing import Footing, walks_from
from planner.sight.grid import box_about
from planner.sight.lines import Targets
from planner.sight.screened import search_window
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.sun import sun_angle_deg
from planner.sight.surfaces import Surfaces
from planner.track.track import Track
from planner.world.sun_position import SunCourse

Floats = NDArray[np.float64]

WITHIN_M: Final = 200.0
"""Farther on foot is for the search that ranks places over the whole path."""
_SPACING_M = 10.0
_MOST_LOOKED_AT = 8
_PROBES = 5
_MOST_SUNS = 40


def nearest_place(
    track: Track,
    surfaces: Surfaces,
    viewers: Sequence[Viewer],
    conditions: Conditions,
    part: slice,
    footing: Footing | None = None,
) -> Spot | None:
    """Return the nearest place from which `viewers` see samples `part` and lose nothing elsewhere.

    Places lie on a grid; those that seem to see the stretch by its ends and some samples between are
    looked at exactly, nearest first, and taken if it is more than barely seen; else the nearest from which
    it is that. None if none of them does, or the stretch is out of range from all of them. The viewers
    stand at one place now. `footing` says where one may stand; they go there on foot, twice as far as
    straight on at most.
    """
    own = viewers[0].eye
    if np.isnan(own.amsl_m):
        return None
    above_m = own.amsl_m - own.ground_amsl_m
    x_m, y_m, ground_m = _around(own, surfaces, Footing() if footing is None else footing)
    if not len(x_m):
        return None
    away_m = np.hypot(x_m - own.x_m, y_m - own.y_m)
    eyes = Eyes(x_m, y_m, ground_m + above_m)
    seeing = np.ones(len(x_m), dtype=bool)
    samples = np.unique(np.linspace(part.start, part.stop - 1, _PROBES).round().astype(np.int64))
    seeing &= _sees_all(track, surfaces, eyes, samples, conditions.refraction)
    dazzle_tried = _tried_toward_sun(viewers)
    if not dazzle_tried:
        seeing &= ~_dazzled(track, eyes, samples, conditions)
    nearest = np.flatnonzero(seeing)[np.argsort(away_m[seeing], kind="stable")][:_MOST_LOOKED_AT]
    now = sight_along(track, viewers, surfaces, conditions) if len(nearest) else ()
    barely = None
    for index in nearest:
        spot = spot_above_ground(float(x_m[index]), float(y_m[index]), above_m, surfaces.ground)
        moved = [attrs.evolve(viewer, eye=spot) for viewer in viewers]
        then = sight_along(track, moved, surfaces, conditions)
        pairs = zip(now, then, strict=True)
        if all(_is_better(before, after, part, dazzle_tried=dazzle_tried) for before, after in pairs):
            if not any(after.barely[part].any() for after in then):
                return spot
            barely = spot if barely is None else barely
    return barely


def _tried_toward_sun(viewers: Sequence[Viewer]) -> bool:
    return all(viewer.reach.tried is not None and viewer.reach.tried.against_sun for viewer in viewers)


def _dazzled(
    track: Track, eyes: Eyes, samples: NDArray[np.int64], conditions: Conditions
) -> NDArray[np.bool_]:
    """Return which eyes would look against the sun at one of some samples, at some of the starts."""
    every = max(1, len(conditions.suns) // _MOST_SUNS)
    back = Targets(eyes.x_m, eyes.y_m, eyes.amsl_m, np.full(len(eyes.x_m), np.nan))
    bad = np.zeros(len(eyes.x_m), dtype=bool)
    for sun in conditions.suns[::every]:
        for sample in samples:
            # Looking from many eyes at one point: the vector is turned round.
            place = Spot(
                float(track.x_m[sample]),
                float(track.y_m[sample]),
                float(track.planned_amsl_m[sample]),
                np.nan,
            )
            one = slice(sample, sample + 1)
            course = SunCourse(sun.azimuth_deg[one], sun.altitude_deg[one])
            bad |= 180.0 - sun_angle_deg(place, back, course) <= conditions.cone_deg
    return bad


def _is_better(before: SightProfile, after: SightProfile, part: slice, *, dazzle_tried: bool) -> bool:
    least = GRAVEST_FIRST.index(Sight.AGAINST_SUN if dazzle_tried else Sight.BARELY)
    kept = (after.grave >= np.minimum(before.grave, least)).all()
    return bool((after.grave[part] >= least).all() and kept)


def _around(own: Spot, surfaces: Surfaces, footing: Footing) -> tuple[Floats, Floats, Floats]:
    """Return where else one may stand close by, and the ground there [m AMSL]."""
    walks = walks_from((own.x_m, own.y_m), surfaces.ground, footing.barred, 2 * WITHIN_M, _SPACING_M)
    away_m = np.hypot(walks.x_m - own.x_m, walks.y_m - own.y_m)
    kept = (away_m <= WITHIN_M) & (away_m > 0.0) & walks.where(footing)
    return walks.x_m[kept], walks.y_m[kept], walks.ground_amsl_m[kept]


def _sees_all(
    track: Track,
    surfaces: Surfaces,
    eyes: Eyes,
    samples: Sequence[int] | NDArray[np.int64],
    refraction: float,
) -> NDArray[np.bool_]:
    chosen = np.asarray(samples)
    box = box_about(
        np.concatenate([eyes.x_m, track.x_m[chosen]]), np.concatenate([eyes.y_m, track.y_m[chosen]])
    )
    window = search_window(surfaces, box)
    seeing = np.ones(len(eyes.x_m), dtype=bool)
    for sample in chosen:
        point = (float(track.x_m[sample]), float(track.y_m[sample]), float(track.planned_amsl_m[sample]))
        seeing &= who_sees(window, eyes, point, _SPACING_M, refraction)
    return seeing
