"""Where the files that travel with the program lie: its resources and its demo missions."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def resources_dir() -> Path:
    """Return the folder of map page, templates, style, icons and the demo island."""
    return _shipped_or_source("_resources", "resources")


def demo_missions_dir() -> Path:
    """Return the folder of the demo missions."""
    return _shipped_or_source("_demo_missions", "demo_missions")


def _shipped_or_source(shipped_name: str, source_name: str) -> Path:
    # A wheel carries both folders inside the package; a checkout has them beside it.
    shipped = _PACKAGE / shipped_name
    return shipped if shipped.is_dir() else _PACKAGE.parent / source_name
