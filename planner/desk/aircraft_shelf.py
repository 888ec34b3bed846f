"""The aircraft library on disk, kept beside the settings."""

from pathlib import Path

from planner.desk.shelf import Shelf
from planner.plan.aircraft import Aircraft
from planner.plan.aircraft_library import read_aircraft, write_aircraft

FILE_NAME = "aircraft_library.json"


class AircraftShelf(Shelf[Aircraft]):
    """Aircraft by name."""

    what = "aircraft library"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder / FILE_NAME)

    def read(self) -> tuple[Aircraft, ...]:
        """Return the aircraft of the file."""
        return read_aircraft(self.path)

    def write(self, things: tuple[Aircraft, ...]) -> None:
        """Write the aircraft, by name."""
        write_aircraft(sorted(things, key=lambda one: one.name.casefold()), self.path)

    def name_of(self, thing: Aircraft) -> str:
        """Return its name."""
        return thing.name
