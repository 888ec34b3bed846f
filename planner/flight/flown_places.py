"""Where something is flown, along a path or anywhere in an area, to ask how near it comes to others."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.track.samples import AreaSamples
from planner.track.track import Track

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class FlownPlaces:
    """Places (n,) of a path, or of an area, in the plane [m].

    Parameters
    ----------
    outline : the path as a line, or the area.
    highest_amsl_m : planned height; of an area its top [m AMSL], NaN unknown.
    along_m : where on the path; None of an area, which has no order.
    """

    frame: LocalFrame
    outline: BaseGeometry
    x_m: Floats
    y_m: Floats
    highest_amsl_m: Floats
    along_m: Floats | None = None

    def nearest_to(self, shape: BaseGeometry) -> tuple[float, float]:
        """Return the place of the outline that is nearest to a shape (x, y) [m]."""
        here = shapely.get_point(shapely.shortest_line(self.outline, shape), 0)
        return float(here.x), float(here.y)

    def sample_at(self, x_m: float, y_m: float) -> int:
        """Return the sample nearest to a plane position."""
        return int(np.argmin(np.hypot(self.x_m - x_m, self.y_m - y_m)))

    def samples_at(self, points: Floats) -> Ints:
        """Return the sample nearest to each of some plane positions (k, 2)."""
        away_m2 = (self.x_m - points[:, :1]) ** 2
        away_m2 += (self.y_m - points[:, 1:]) ** 2
        return np.asarray(np.argmin(away_m2, axis=1))

    def places(self, points: Floats) -> list[Place]:
        """Return plane positions (k, 2) on the earth."""
        lon_deg, lat_deg = self.frame.inverse(points[:, 0], points[:, 1])
        return [Place(*pair) for pair in zip(lon_deg.tolist(), lat_deg.tolist(), strict=True)]

    def place(self, x_m: float, y_m: float) -> Place:
        """Return a plane position on the earth."""
        return self.frame.xy_to_place(x_m, y_m)

    def with_places(self, points: Floats) -> "FlownPlaces":
        """Return an area with further places of it (k, 2), as high as the sample nearest to each."""
        if self.along_m is not None or not len(points):
            return self
        like = [self.sample_at(*point) for point in points]
        return attrs.evolve(
            self,
            x_m=np.append(self.x_m, points[:, 0]),
            y_m=np.append(self.y_m, points[:, 1]),
            highest_amsl_m=np.append(self.highest_amsl_m, self.highest_amsl_m[like]),
        )


def flown_along(track: Track) -> FlownPlaces:
    """Return the places of a path of at least one sample."""
    points = np.column_stack([track.x_m, track.y_m])
    outline = shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
    return FlownPlaces(
        track.frame, outline, track.x_m, track.y_m, track.planned_amsl_m, along_m=track.distance_m
    )


def flown_in(area: AreaSamples, frame: LocalFrame) -> FlownPlaces:
    """Return the places of an area, flown from the ground to its top."""
    return FlownPlaces(frame, area.footprint, area.x_m, area.y_m, area.planned_amsl_m)
