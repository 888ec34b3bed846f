"""Buildings that charts show, laid into the plane: an aircraft can fly into them."""

from collections.abc import Iterable
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.world.outlines import shapes_in_plane
from planner.world.sites import GroundFeature, GroundKind
from planner.world.terrain import SurfaceKind, Terrain

_HALF_WIDTH_M: Final = 2.0
"""Of what is charted as a spot or a line: own choice, as of what is drawn."""

_LEAST_HEIGHT_M: Final = 1.0
"""No building is believed to be lower: own choice."""


@attrs.frozen(eq=False)
class Building:
    """A charted building: outline in the plane [m], height above the ground [m], None if unknown."""

    name: str
    shape: BaseGeometry
    height_m: float | None


def lay_buildings(
    features: Iterable[GroundFeature], frame: LocalFrame, terrain: Terrain | None
) -> tuple[Building, ...]:
    """Return the charted buildings; none over a surface model, whose ground is their roofs."""
    if terrain is not None and terrain.surface is SurfaceKind.SURFACE:
        return ()
    found = [one for one in features if one.kind is GroundKind.BUILDING]
    if not found:
        return ()
    plane = shapes_in_plane(np.array([one.shape for one in found], dtype=object), frame)
    wide = np.where(
        shapely.get_dimensions(plane) == 2, plane, shapely.buffer(plane, _HALF_WIDTH_M, quad_segs=4)
    )
    return tuple(
        Building(one.name or "a charted building", shape, charted_height_m(one))
        for one, shape in zip(found, wide.tolist(), strict=True)
    )


def charted_height_m(feature: GroundFeature) -> float | None:
    """Return how high something charted stands [m], None where its height is not known or not believed.

    Tables often write a height that nobody measured as 0, or as something next to it.
    """
    height_m = feature.height_m
    return height_m if height_m is not None and height_m >= _LEAST_HEIGHT_M else None
