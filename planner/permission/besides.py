"""What is flown beside what is drawn, and needs the same permission."""

import attrs
import shapely
from shapely.geometry.base import BaseGeometry


@attrs.frozen(eq=False)
class Besides:
    """Where a flight may come beside its path and area, in the plane [m].

    `on_lost_link` is whether ways on lost link are among it.
    """

    shape: BaseGeometry = attrs.field(factory=lambda: shapely.GeometryCollection([]))
    on_lost_link: bool = False

    def within(self, outline: BaseGeometry) -> BaseGeometry:
        """Return the part of it inside an airspace's outline."""
        return shapely.intersection(self.shape, outline)
