"""Where chart sets are kept: the demo island's, and the user's own."""

import os
import sys
from collections.abc import Iterable
from pathlib import Path

import shapely

from planner.errors import ChartError
from planner.geo.place import Place
from planner.locate import resources_dir
from planner.surroundings import ChartSets, chart_set_folders
from planner.world.extent import Extent
from planner.world.store import set_record
from planner.world.store.cutting import cut_record

_ABOUT_M = 1_000.0


def known_chart_sets() -> ChartSets:
    """Return the folders of all chart sets at hand, by id."""
    return chart_set_folders([resources_dir(), user_chart_dir()])


def user_chart_dir() -> Path:
    """Return the folder of the user's own chart sets; it need not exist.

    LOWLINE_STATE_DIR overrides the system's usual place for such data.
    """
    chosen = os.environ.get("LOWLINE_STATE_DIR")
    if chosen:
        return Path(chosen) / "charts"
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA", str(Path.home()))) / "Lowline" / "charts"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "Lowline" / "charts"
    return Path(os.environ.get("XDG_DATA_HOME", str(Path.home() / ".local" / "share"))) / "lowline" / "charts"


def sets_about(place: Place) -> tuple[str, ...]:
    """Return the ids of the chart sets at hand that speak of a place, in any of their layers; sorted."""
    return tuple(sorted(name for name, folder in known_chart_sets().items() if _speaks(folder, place)))


def any_invented(names: Iterable[str]) -> bool:
    """Whether one of these chart sets at hand is about an invented place, by its own word."""
    folders = known_chart_sets()
    return any(_is_invented(folders[name]) for name in names if name in folders)


def _is_invented(folder: Path) -> bool:
    try:
        return set_record(folder).jurisdiction.invented
    except ChartError:
        return False


def _speaks(folder: Path, place: Place) -> bool:
    point = shapely.Point(place.lon_deg, place.lat_deg)
    about = Extent(place.lon_deg, place.lat_deg, place.lon_deg, place.lat_deg).grown(_ABOUT_M)
    try:
        record = cut_record(set_record(folder), about)
    except ChartError:
        return False
    reaches = [entry.record.reach for entry in record.layers]
    return any(reach is not None and reach.covers(point) for reach in reaches)
