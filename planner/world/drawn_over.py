"""What is left of something charted where the pilot has drawn what stands there."""

from collections.abc import Sequence
from typing import Final, Self

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

_BESIDE_M: Final = 3.0
"""So far beside its charted outline something drawn still stands for it: own choice."""
NAMED_WITHIN_M: Final = 30.0
"""The same for something drawn under its name and of its kind: own choice, a hand's accuracy."""


@attrs.frozen(eq=False)
class DrawnOver:
    """Where drawn buildings and trees stand for charted ones, in the plane; None: nothing is drawn."""

    about: BaseGeometry | None

    @classmethod
    def of(cls, drawn: Sequence[BaseGeometry]) -> Self:
        """Return the same from the outlines drawn."""
        return cls(shapely.buffer(shapely.union_all(drawn), _BESIDE_M) if drawn else None)

    def left_of(self, charted: BaseGeometry, named: Sequence[BaseGeometry]) -> BaseGeometry | None:
        """Return what is left of a charted outline, None if nothing is; `named` are drawn under its name."""
        taken = [self.about] if self.about is not None and self.about.intersects(charted) else []
        if named:
            taken.append(shapely.buffer(shapely.union_all(named), NAMED_WITHIN_M))
        rest = shapely.difference(charted, shapely.union_all(taken)) if taken else charted
        return rest if rest.area > 0.0 else None
