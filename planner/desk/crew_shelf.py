"""The library of people, kept beside the settings.

Its file is a plan that holds nothing but a crew, so it has the keys and checks of a plan's file. Where
somebody stands belongs to a plan, not to them, and is not kept; ranges that they have tried are.
"""

from pathlib import Path

import attrs

from planner.desk.shelf import Shelf
from planner.errors import PlanError
from planner.plan.crew import CrewMember
from planner.plan.file import PLAN_SUFFIX, read_plan, write_plan
from planner.plan.model import Plan

FILE_NAME = f"crew_library{PLAN_SUFFIX}"


class CrewShelf(Shelf[CrewMember]):
    """People by name."""

    what = "library of people"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder / FILE_NAME)

    def read(self) -> tuple[CrewMember, ...]:
        """Return the people of the file."""
        people = read_plan(self.path).crew
        names = [one.name for one in people]
        if "" in names or len(set(names)) < len(names):
            raise PlanError("it holds somebody without a name, or two of one name", where=str(self.path))
        return people

    def write(self, things: tuple[CrewMember, ...]) -> None:
        """Write the people, by name."""
        people = sorted(map(without_place, things), key=lambda one: one.name.casefold())
        numbered = tuple(attrs.evolve(one, key=f"person-{n}") for n, one in enumerate(people, start=1))
        write_plan(Plan(name="People", crew=numbered), self.path)

    def name_of(self, thing: CrewMember) -> str:
        """Return their name."""
        return thing.name


def without_place(member: CrewMember) -> CrewMember:
    """Return what is kept of somebody."""
    return attrs.evolve(member, place=None, key="person")


def same_person(one: CrewMember, other: CrewMember) -> bool:
    """Whether two say the same of somebody, wherever they stand."""
    return without_place(one) == without_place(other)
