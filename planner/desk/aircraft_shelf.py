"""The aircraft library on disk: kept beside the settings, never written over when it can't be read."""

from pathlib import Path

from planner.errors import PlanError
from planner.plan.aircraft import Aircraft
from planner.plan.aircraft_library import read_aircraft, write_aircraft

FILE_NAME = "aircraft_library.json"


class AircraftShelf:
    """Aircraft by name; `trouble` says in one line why the file can't be read, '' if it can."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE_NAME
        self.aircraft: tuple[Aircraft, ...] = ()
        self.trouble = ""
        self._read_at: tuple[int, int] | None = None
        self.refresh()

    def refresh(self) -> None:
        """Read the file again if it has changed."""
        at = self._stamp()
        if at == self._read_at and at is not None:
            return
        self._read_at = at
        self.aircraft, self.trouble = (), ""
        if not self.path.exists():
            return
        try:
            self.aircraft = read_aircraft(self.path)
        except PlanError as error:
            self.trouble = error.one_line()

    def called(self, name: str) -> Aircraft | None:
        """Return the aircraft of that name, None where none is kept."""
        return next((one for one in self.aircraft if one.name == name), None)

    def keep(self, aircraft: Aircraft) -> None:
        """Add an aircraft, or put it in the place of the one of its name.

        Raises
        ------
        PlanError
            If the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        others = [one for one in self.aircraft if one.name != aircraft.name]
        self._write((*others, aircraft))

    def forget(self, name: str) -> None:
        """Take an aircraft out; plans that hold a copy keep theirs.

        Raises
        ------
        PlanError
            If the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        self._write(tuple(one for one in self.aircraft if one.name != name))

    def _readable(self) -> None:
        self._read_at = None
        self.refresh()
        if self.trouble:
            raise PlanError("the aircraft library can't be read", where=self.trouble)

    def _write(self, aircraft: tuple[Aircraft, ...]) -> None:
        write_aircraft(sorted(aircraft, key=lambda one: one.name.casefold()), self.path)
        self._read_at = None
        self.refresh()

    def _stamp(self) -> tuple[int, int] | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size
