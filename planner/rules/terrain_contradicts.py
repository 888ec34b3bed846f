"""Rule on two surveys over one datum that tell quite different ground about the plan."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import judged
from planner.rules.undrawn import ways_not_drawn
from planner.rules.words import over_ft
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.terrain_differs import TerrainDiffers

ABOUT_M: Final = 30.0
"""So near to what is flown ground counts as that beneath it: own choice."""


def contradicted(case: Case) -> Iterator[Finding]:
    """Yield that another raster tells quite another ground than the one that is reckoned with.

    Open where that is about what is flown, as nobody can say how high that is; elsewhere something to do.
    """
    if (differs := case.world.terrain_differs) is None or case.world.terrain is None:
        return
    beneath = _beneath(case, differs)
    apart_m, place = (differs.apart_m, differs.place) if beneath is None else beneath
    yield Finding(
        rule="terrain-contradicts",
        mark=Mark.ACT if beneath is None else Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="Two surveys tell different ground here",
        message=f"Two rasters {_which(differs)} differ by {over_ft(apart_m)} "
        f"{'about the plan' if beneath is None else 'beneath the flight'}, more than both say they may be "
        "off: the ground has changed between them, or one is wrong. "
        + ("" if beneath is None else "So nobody can say how high above the ground it is flown there. ")
        + "Reckoned is with one of them: the one that covers more, then the more exact, then the newer.",
        citation="common practice",
        remedy="look at the ground there, and take out of the charts the raster that no longer holds",
        place=place,
        numbers={"apart_m": apart_m},
    )


def _which(differs: TerrainDiffers) -> str:
    if differs.of_one_kind:
        return "of one kind and datum"
    return "over one datum, one of them lower than the bare ground or the surface of the other could be,"


def _beneath(case: Case, differs: TerrainDiffers) -> tuple[float, Place] | None:
    """Return where surveys differ most about what is flown, and by how much [m]; None: nowhere near it."""
    if case.mapped is None or not len(differs.spots):
        return None
    lon, lat, apart_m = differs.spots.T
    places = shapely.points(np.column_stack(case.mapped.frame.forward(lon, lat)))
    within_m, near = ABOUT_M + differs.step_m, np.zeros(len(lon), dtype=np.bool_)
    for shape in _shapes(case, case.mapped):
        shapely.prepare(shape)
        near = np.logical_or(near, shapely.dwithin(shape, places, within_m))
    if not near.any():
        return None
    most = int(np.argmax(np.where(near, apart_m, -np.inf)))
    return float(apart_m[most]), Place(float(lon[most]), float(lat[most]))


def _shapes(case: Case, mapped: Mapped) -> Iterator[BaseGeometry]:
    for samples in judged(case):
        ends = np.column_stack([samples.x_m, samples.y_m])
        ends = ends[np.isfinite(ends).all(axis=1)]
        in_row = isinstance(samples, Track) and len(ends) > 1
        yield shapely.LineString(ends) if in_row else shapely.MultiPoint(ends)
    if case.area_samples is not None and case.area is not None:
        yield case.area_samples.footprint
    for way in ways_not_drawn(case, mapped):
        yield way.line


RULES = (contradicted,)
