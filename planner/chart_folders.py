"""Where chart sets are kept: the demo island's, and the user's own."""

import os
import sys
from pathlib import Path

from planner.locate import resources_dir
from planner.surroundings import chart_set_folders


def known_chart_sets() -> dict[str, Path]:
    """Return the folders of all chart sets at hand, by id."""
    return dict(chart_set_folders([resources_dir(), user_chart_dir()]))


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
