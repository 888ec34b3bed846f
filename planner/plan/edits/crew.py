"""Edits of the crew; people are named by their key."""

from collections.abc import Iterable

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.crew import CrewMember
from planner.plan.edits.base import OneStep, replaced, without
from planner.plan.model import Plan
from planner.plan.role_words import role_words


@attrs.frozen
class AddCrew(OneStep):
    """Add somebody."""

    member: CrewMember

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Add {_spoken(self.member)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more person."""
        return attrs.evolve(plan, crew=(*plan.crew, self.member))


@attrs.frozen
class RemoveCrew(OneStep):
    """Remove somebody."""

    key: str

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Remove crew member"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without that person."""
        return attrs.evolve(plan, crew=without(plan.crew, _index(plan, self.key)))


@attrs.frozen
class MoveCrew:
    """Put somebody at a place, or (None) nowhere yet."""

    key: str
    place: Place | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Move crew member" if self.place else "Take crew member off the map"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return (MoveCrew, self.key) if self.place else None

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that person there."""
        index = _index(plan, self.key)
        member = attrs.evolve(plan.crew[index], place=self.place)
        return attrs.evolve(plan, crew=replaced(plan.crew, index, member))


def _keys(keys: Iterable[str]) -> tuple[str, ...]:
    return tuple(keys)


@attrs.frozen
class MoveCrewTogether(OneStep):
    """Put several people at one place."""

    keys: tuple[str, ...] = attrs.field(converter=_keys)
    place: Place

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Let the crew stand elsewhere"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with those people there."""
        for key in self.keys:
            plan = MoveCrew(key, self.place).apply(plan)
        return plan


@attrs.frozen
class ReplaceCrew(OneStep):
    """Put `member` in the place of the one with `key`; the key may change."""

    key: str
    member: CrewMember

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Change {_spoken(self.member)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the person exchanged."""
        return attrs.evolve(plan, crew=replaced(plan.crew, _index(plan, self.key), self.member))


def _index(plan: Plan, key: str) -> int:
    for index, member in enumerate(plan.crew):
        if member.key == key:
            return index
    raise PlanError(f"nobody in the crew has the key {key!r}", remedy="choose one of the crew")


def _spoken(member: CrewMember) -> str:
    # A step is told without its plan: the word that is right for each purpose.
    return role_words(member.role, None)
