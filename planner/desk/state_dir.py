"""Where the desk keeps what must outlive it: unsaved work, its log, its settings."""

import os
from pathlib import Path

from PySide6.QtCore import QStandardPaths


def state_dir() -> Path:
    """Return the folder, made if need be; LOWLINE_STATE_DIR overrides the system's choice."""
    chosen = os.environ.get("LOWLINE_STATE_DIR")
    if not chosen:
        chosen = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    folder = Path(chosen)
    folder.mkdir(parents=True, exist_ok=True)
    return folder
