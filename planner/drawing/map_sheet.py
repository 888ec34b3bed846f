"""The sheet a map is drawn on: a piece of the local plane, turned as wanted, in points."""

import math
from collections.abc import Sequence

import attrs
import numpy as np
import shapely
from affine import Affine
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.place import Place

Floats = NDArray[np.float64]

_LEAST_SPAN_M = 240.0
_MARGIN_SHARE = 0.13
_DENSIFIED_DEG = 0.002


@attrs.frozen(eq=False)
class MapSheet:
    """Maps places to points on paper: x to the right, y downward.

    `up_deg` is the true bearing that is up on the sheet. `left_m` and `top_m`
    are the upper left corner in the plane turned that way: metres to the
    right and upward from the frame's origin.
    """

    frame: LocalFrame
    width: float
    height: float
    points_per_m: float
    left_m: float
    top_m: float
    up_deg: float = 0.0

    @classmethod
    def around(cls, places: Sequence[Place], width: float, height: float, up_deg: float = 0.0) -> "MapSheet":
        """Return the sheet that holds all places, with a margin; at least one place."""
        lons = np.array([place.lon_deg for place in places])
        lats = np.array([place.lat_deg for place in places])
        middle = Place(float(lons.min() + lons.max()) / 2, float(lats.min() + lats.max()) / 2)
        frame = LocalFrame(middle)
        x_m, y_m = _turned(*frame.forward(lons, lats), up_deg)
        wide = max(float(np.ptp(x_m)), _LEAST_SPAN_M) * (1 + 2 * _MARGIN_SHARE)
        high = max(float(np.ptp(y_m)), _LEAST_SPAN_M) * (1 + 2 * _MARGIN_SHARE)
        points_per_m = min(width / wide, height / high)
        left_m = float(x_m.min() + x_m.max()) / 2 - width / points_per_m / 2
        top_m = float(y_m.min() + y_m.max()) / 2 + height / points_per_m / 2
        return cls(frame, width, height, points_per_m, left_m, top_m, up_deg)

    @property
    def frame_box(self) -> shapely.Polygon:
        """The sheet's own outline, in points."""
        return shapely.box(0, 0, self.width, self.height)

    def of_plane(self, x_m: ArrayLike, y_m: ArrayLike) -> Floats:
        """Return (n, 2) points of plane positions [m]."""
        right_m, up_m = _turned(np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float), self.up_deg)
        right = (right_m - self.left_m) * self.points_per_m
        down = (self.top_m - up_m) * self.points_per_m
        return np.column_stack([right, down])

    def of_degrees(self, lon_deg: ArrayLike, lat_deg: ArrayLike) -> Floats:
        """Return (n, 2) points of positions [deg]."""
        return self.of_plane(
            *self.frame.forward(np.asarray(lon_deg, dtype=float), np.asarray(lat_deg, dtype=float))
        )

    def of_place(self, place: Place) -> tuple[float, float]:
        """Return the point of one place."""
        ((right, down),) = self.of_degrees([place.lon_deg], [place.lat_deg])
        return float(right), float(down)

    def outline(self, outline_deg: BaseGeometry) -> BaseGeometry:
        """Return a geometry given in lon/lat in points; chart edges are straight in degrees."""
        dense = shapely.segmentize(outline_deg, _DENSIFIED_DEG)
        return shapely.transform(dense, lambda lonlat: self.of_degrees(lonlat[:, 0], lonlat[:, 1]))

    def pixels_to_plane(self, pixel_m: float) -> Affine:
        """Return the transform from columns and rows of pixels, from the upper left corner, to the plane."""
        cos, sin = math.cos(math.radians(self.up_deg)), math.sin(math.radians(self.up_deg))
        return Affine(
            pixel_m * cos, -pixel_m * sin, self.left_m * cos + self.top_m * sin,
            -pixel_m * sin, -pixel_m * cos, self.top_m * cos - self.left_m * sin,
        )  # fmt: skip

    def shows(self, point: tuple[float, float], inset: float = 0.0) -> bool:
        """Whether a point lies on the sheet, at least `inset` from its edge."""
        right, down = point
        return inset <= right <= self.width - inset and inset <= down <= self.height - inset


def _turned(x_m: Floats, y_m: Floats, up_deg: float) -> tuple[Floats, Floats]:
    """Return metres to the right and upward where a true bearing is up."""
    cos, sin = math.cos(math.radians(up_deg)), math.sin(math.radians(up_deg))
    return x_m * cos - y_m * sin, x_m * sin + y_m * cos
