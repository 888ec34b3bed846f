"""The desk's settings on disk; what can't be read or used is as it comes."""

import json
from pathlib import Path
from typing import Any

import attrs

from planner.atomic import write_text
from planner.saying import Units
from planner.settings import Settings

FILE_NAME = "settings.json"
_PLAIN = (
    "ring_radius_m",
    "margin_m",
    "above_ground_m",
    "aside_m",
    "steepest_sink",
    "appearance",
    "text_percent",
)


def read_settings(folder: Path) -> Settings:
    """Return the settings kept in a folder; each that is missing or of no use has its default."""
    try:
        kept = json.loads((folder / FILE_NAME).read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return Settings()
    settings = Settings()
    if not isinstance(kept, dict):
        return settings
    for name in _PLAIN:
        settings = _with(settings, name, kept.get(name))
    settings = _with(settings, "units", _units(kept.get("units")))
    return _with(settings, "layer_switches", _switches(kept.get("layer_switches")))


def write_settings(folder: Path, settings: Settings) -> None:
    """Keep the settings in a folder.

    Raises
    ------
    OutputError
        If the file can't be written.
    """
    kept = {
        **{name: getattr(settings, name) for name in _PLAIN},
        "layer_switches": dict(settings.layer_switches),
        "units": attrs.asdict(settings.units),
    }
    write_text(folder / FILE_NAME, json.dumps(kept, indent=1, sort_keys=True) + "\n")


def _with(settings: Settings, name: str, value: Any) -> Settings:  # noqa: ANN401
    if value is None or isinstance(value, bool):
        return settings
    try:
        return attrs.evolve(settings, **{name: value})
    except (TypeError, ValueError):
        return settings


def _units(kept: object) -> Units | None:
    """Return the units kept, each that is of no use as it comes."""
    if not isinstance(kept, dict):
        return None
    units = Units()
    for part in attrs.fields(Units):
        try:
            units = attrs.evolve(units, **{part.name: kept.get(part.name, part.default)})  # type: ignore[arg-type]
        except (TypeError, ValueError):
            continue
    return units


def _switches(kept: object) -> dict[str, bool] | None:
    if not isinstance(kept, dict):
        return None
    return {name: on for name, on in kept.items() if isinstance(on, bool)}
