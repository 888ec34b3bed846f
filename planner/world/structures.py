"""Structures: as an allowance to fly by, and as obstacles to clear."""

import attrs

from planner.geo.place import Place
from planner.units import ft_from_m
from planner.world.layers import LayerRecord


@attrs.frozen
class Structure:
    """A record of a structure.

    Parameters
    ----------
    top_amsl_m, height_agl_m : float or None
        Uppermost limit [m AMSL] and height [m AGL]; None where not given.
    horizontal_error_m, vertical_error_m : float or None
        Accuracy of the record [m]; None where unknown: it then gives no allowance.
    is_point_of_line : bool
        A catenary is one point with no direction and gives no allowance.
    dismantled : bool
        The record says that the structure is gone.
    told_by : tuple of LayerRecord
        The records of the layers that hold it.
    """

    key: str
    kind: str
    place: Place
    top_amsl_m: float | None
    height_agl_m: float | None
    horizontal_error_m: float | None = None
    vertical_error_m: float | None = None
    guyed: bool = False
    is_point_of_line: bool = False
    dismantled: bool = False
    name: str = ""
    told_by: tuple[LayerRecord, ...] = attrs.field(default=(), eq=False, repr=False)

    @property
    def label(self) -> str:
        """What people call it: its name, else its kind and height in feet."""
        if self.name or self.height_agl_m is None:
            return self.name or self.kind
        return f"{self.kind} of {round(ft_from_m(self.height_agl_m)):,} ft"
