"""Pictures of widgets, so that what a test builds can be looked at."""

from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget


def save_shot(widget: QWidget, path: Path | str, settle_ms: int = 400) -> None:
    """Write what the widget shows as PNG; a web page takes a few frames to get there."""
    QTest.qWait(settle_ms)
    picture = widget.grab()
    assert not picture.isNull(), f"nothing to see of {widget!r}"
    assert picture.save(str(path)), f"cannot write {path}"
