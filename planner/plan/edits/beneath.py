"""Edits of what is beneath, of the other pilots, and of a moving vehicle to fly from."""

from collections.abc import Iterable

import attrs

from planner.geo.place import Place
from planner.plan.beneath import BeneathItem, FromVehicle, OtherPilot
from planner.plan.edits.base import OneStep, checked, in_row, replaced, without
from planner.plan.model import Plan

_WHAT = "item beneath"


@attrs.frozen
class AddBeneath(OneStep):
    """Draw who or what is beneath."""

    item: BeneathItem

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Draw {self.item.called} beneath"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more item beneath."""
        return attrs.evolve(plan, beneath=(*plan.beneath, self.item))


@attrs.frozen
class ReplaceBeneath(OneStep):
    """Put another item in the place of one."""

    index: int
    item: BeneathItem

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Change {self.item.called} beneath"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the item exchanged."""
        checked(self.index, len(plan.beneath), _WHAT)
        return attrs.evolve(plan, beneath=replaced(plan.beneath, self.index, self.item))


@attrs.frozen
class ReshapeBeneath(OneStep):
    """Move an item, or give it other corners."""

    index: int
    places: tuple[Place, ...] = attrs.field(converter=in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Reshape {_WHAT} {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the item elsewhere, all else of it kept."""
        checked(self.index, len(plan.beneath), _WHAT)
        changed = attrs.evolve(plan.beneath[self.index], places=self.places)
        return attrs.evolve(plan, beneath=replaced(plan.beneath, self.index, changed))


@attrs.frozen
class RemoveBeneath(OneStep):
    """Remove an item."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Remove {_WHAT} {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the item."""
        checked(self.index, len(plan.beneath), _WHAT)
        return attrs.evolve(plan, beneath=without(plan.beneath, self.index))


@attrs.frozen
class SetPeopleDistance(OneStep):
    """Set the own limit of distance from people [m]; None: none."""

    distance_m: float | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set own distance from people"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that limit."""
        return attrs.evolve(plan, own_people_distance_m=self.distance_m)


@attrs.frozen
class SetFromVehicle(OneStep):
    """Say that it is flown from a moving vehicle; None: it is not."""

    vehicle: FromVehicle | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set moving vehicle"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan flown so."""
        return attrs.evolve(plan, from_vehicle=self.vehicle)


def _pilots(pilots: Iterable[OtherPilot]) -> tuple[OtherPilot, ...]:
    return tuple(pilots)


@attrs.frozen
class SetOtherPilots(OneStep):
    """Name the other pilots at the place."""

    pilots: tuple[OtherPilot, ...] = attrs.field(converter=_pilots)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set other pilots"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with those pilots."""
        return attrs.evolve(plan, other_pilots=self.pilots)
