"""Edits of launch and landing point and of the ground there."""

from typing import Literal

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits.base import OneStep
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan

Spot = Literal["launch", "landing"]


@attrs.frozen
class SetLaunch:
    """Set, move or (None) remove the launch point; the ground keeps its status when moved."""

    place: Place | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set launch point" if self.place else "Remove launch point"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return SetLaunch if self.place else None

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that launch point."""
        return attrs.evolve(plan, launch=_moved(plan.launch, self.place))


@attrs.frozen
class SetLanding:
    """Set, move or (None) remove the landing point; the ground keeps its status when moved."""

    place: Place | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set landing point" if self.place else "Remove landing point"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return SetLanding if self.place else None

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that landing point."""
        return attrs.evolve(plan, landing=_moved(plan.landing, self.place))


@attrs.frozen
class SetReturnPoint:
    """Set, move or (None) remove where it returns to by itself; without one that is where it was armed."""

    place: Place | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set return point" if self.place else "Return to where it was armed"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return SetReturnPoint if self.place else None

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that return point."""
        return attrs.evolve(plan, return_point=self.place)


@attrs.frozen
class SetLand(OneStep):
    """Say whose the ground at launch or landing point is, and who permitted its use."""

    spot: Spot = attrs.field(validator=attrs.validators.in_(("launch", "landing")))
    land: LandStatus
    permitted_by: str = ""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Set ground of {self.spot} point"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that ground."""
        if self.spot == "launch":
            return attrs.evolve(plan, launch=self._settled(plan.launch))
        return attrs.evolve(plan, landing=self._settled(plan.landing))

    def _settled(self, spot: GroundSpot | None) -> GroundSpot:
        if spot is None:
            raise PlanError(f"the plan has no {self.spot} point", remedy="set it first")
        return attrs.evolve(spot, land=self.land, permitted_by=self.permitted_by)


def _moved(spot: GroundSpot | None, place: Place | None) -> GroundSpot | None:
    if place is None:
        return None
    return attrs.evolve(spot, place=place) if spot else GroundSpot(place)
