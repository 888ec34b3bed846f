"""Standing permissions: kept beside the settings, used again from plan to plan."""

from pathlib import Path

from planner.desk.shelf import Shelf
from planner.errors import PlanError
from planner.plan.file import PLAN_SUFFIX, read_plan, write_plan
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord

FILE_NAME = f"standing_permissions{PLAN_SUFFIX}"


class StandingPermissions(Shelf[PermissionRecord]):
    """The pilot's library of permissions; each is known by all that it says.

    Its file is a plan that holds nothing but permissions, so any program that reads GeoJSON opens it.
    """

    what = "library of standing permissions"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder / FILE_NAME)

    @property
    def records(self) -> tuple[PermissionRecord, ...]:
        """The permissions kept."""
        return self.kept

    def read(self) -> tuple[PermissionRecord, ...]:
        """Return the permissions of the file."""
        return read_plan(self.path).permissions

    def write(self, things: tuple[PermissionRecord, ...]) -> None:
        """Write the permissions, in the order in which they were kept."""
        write_plan(Plan(name="Standing permissions", permissions=things), self.path)

    def name_of(self, thing: PermissionRecord) -> PermissionRecord:
        """Return the record itself: two that differ in anything are two."""
        return thing

    def keep(self, thing: PermissionRecord) -> None:
        """Add a record.

        Raises
        ------
        PlanError
            If it is kept already, or the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        if thing in self.kept:
            raise PlanError("this very permission is among the standing ones already")
        super().keep(thing)
