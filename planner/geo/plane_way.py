"""The way between a local plane and another coordinate system, made anew in no time when the plane moves."""

import attrs
import numpy as np
import pyproj
from numpy.typing import NDArray
from pyproj.enums import TransformDirection

from planner.geo.frame import LocalFrame, aeqd_step
from planner.geo.lon_lat import from_lon_lat, to_lon_lat

Floats = NDArray[np.float64]

_PROJECTS = "proj=pipeline step proj=unitconvert xy_in=deg xy_out=rad step "


@attrs.frozen(eq=False)
class PlaneWay:
    """`direct` goes from the plane to `crs` in one go; None: by longitude and latitude."""

    frame: LocalFrame
    crs: pyproj.CRS
    direct: pyproj.Transformer | None

    @classmethod
    def between(cls, frame: LocalFrame, crs: pyproj.CRS) -> "PlaneWay":
        """Return the way between a plane and a system."""
        projection = from_lon_lat(crs).definition.removeprefix(_PROJECTS)
        # Where a datum shift has to be chosen by place there is no one projection.
        known = projection.startswith("proj=") and " step " not in projection and "noop" not in projection
        if not known:
            return cls(frame, crs, None)
        steps = f"+proj=pipeline +step +inv {aeqd_step(frame.origin)} +step {projection}"
        return cls(frame, crs, pyproj.Transformer.from_pipeline(steps))

    def there(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return the coordinates of plane positions [m]."""
        if self.direct is None:
            x, y = from_lon_lat(self.crs).transform(*self.frame.inverse(x_m, y_m))
        else:
            x, y = self.direct.transform(x_m, y_m)
        return np.asarray(x, dtype=float), np.asarray(y, dtype=float)

    def back(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return the plane positions [m] of coordinates."""
        if self.direct is None:
            return self.frame.forward(*to_lon_lat(self.crs, x, y))
        x_m, y_m = self.direct.transform(x, y, direction=TransformDirection.INVERSE)
        return np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float)
