"""Standing permissions: kept beside the settings, used again from plan to plan."""

from pathlib import Path

from planner.errors import PlanError
from planner.plan.file import PLAN_SUFFIX, read_plan, write_plan
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord

FILE_NAME = f"standing_permissions{PLAN_SUFFIX}"


class StandingPermissions:
    """The pilot's library of permissions.

    Its file is a plan that holds nothing but permissions, so any program that
    reads GeoJSON opens it. A file that can't be read is never written over.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE_NAME
        self.records: tuple[PermissionRecord, ...] = ()
        self.trouble = ""
        self.refresh()

    def refresh(self) -> None:
        """Read the file again; `trouble` says in one line why it can't be read."""
        self.records, self.trouble = (), ""
        if not self._path.exists():
            return
        try:
            self.records = read_plan(self._path).permissions
        except PlanError as error:
            self.trouble = error.one_line()

    def keep(self, record: PermissionRecord) -> None:
        """Add a record.

        Raises
        ------
        PlanError
            If it is kept already, or the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        if record in self.records:
            raise PlanError("this very permission is among the standing ones already")
        self._write((*self.records, record))

    def forget(self, record: PermissionRecord) -> None:
        """Take a record out; plans that hold it keep theirs.

        Raises
        ------
        PlanError
            If the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        self._write(tuple(kept for kept in self.records if kept != record))

    def _readable(self) -> None:
        self.refresh()
        if self.trouble:
            raise PlanError("the standing permissions can't be read", where=self.trouble)

    def _write(self, records: tuple[PermissionRecord, ...]) -> None:
        write_plan(Plan(name="Standing permissions", permissions=records), self._path)
        self.records = records
