"""Where the aircraft leaves and meets the ground, and by whose leave."""

from enum import StrEnum

import attrs

from planner.geo.place import Place


class LandStatus(StrEnum):
    """Whose ground it is; unsettled ground is a permission still needed."""

    OWN = "own"
    PUBLIC = "public"
    PERMITTED = "permitted"
    UNSETTLED = "unsettled"


@attrs.frozen
class GroundSpot:
    """A launch or landing point. `permitted_by` names who allowed it."""

    place: Place
    land: LandStatus = LandStatus.UNSETTLED
    permitted_by: str = ""

    @property
    def settled(self) -> bool:
        """Whether somebody who may has allowed the use of this ground."""
        if self.land is LandStatus.PERMITTED:
            return bool(self.permitted_by.strip())
        return self.land is not LandStatus.UNSETTLED
