"""The library of sites, kept beside the settings."""

from pathlib import Path

from planner.desk.shelf import Shelf
from planner.plan.model import Plan
from planner.plan.site_library import read_sites, write_sites

FILE_NAME = "site_library.json"


class SiteShelf(Shelf[Plan]):
    """Sites by name."""

    what = "library of sites"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder / FILE_NAME)

    def read(self) -> tuple[Plan, ...]:
        """Return the sites of the file."""
        return read_sites(self.path)

    def write(self, things: tuple[Plan, ...]) -> None:
        """Write the sites, by name."""
        write_sites(sorted(things, key=lambda site: site.name.casefold()), self.path)

    def name_of(self, thing: Plan) -> str:
        """Return its name."""
        return thing.name
