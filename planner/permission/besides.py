"""What is flown beside what is drawn, and needs the same permission."""

from collections.abc import Mapping, Sequence

import attrs
import shapely
from shapely.geometry.base import BaseGeometry


@attrs.frozen(eq=False)
class Besides:
    """Where a flight may come beside its path and area, in the plane [m].

    `rise_m` is, by column of an airspace, how far above the height that the drawn flight needs there [m].
    `on_lost_link` is whether ways on lost link are among it.
    """

    shape: BaseGeometry = attrs.field(factory=lambda: shapely.GeometryCollection([]))
    rise_m: Mapping[int, float] = attrs.field(factory=dict)
    on_lost_link: bool = False

    def within(self, outline: BaseGeometry) -> BaseGeometry:
        """Return the part of it inside an airspace's outline."""
        return shapely.intersection(self.shape, outline)

    def rise_in_m(self, columns: Sequence[int]) -> float:
        """Return how far above the height needed in an airspace of these columns it comes [m]."""
        return max((max(self.rise_m.get(column, 0.0), 0.0) for column in columns), default=0.0)
