"""What the desk asks the pilot in boxes of the system: files, and whether to keep work."""

from collections.abc import Sequence
from enum import Enum
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from planner.plan.file import PLAN_SUFFIX
from planner.wording import CAUTIONS

_PLANS = f"Plans (*{PLAN_SUFFIX} *.geojson);;All files (*)"


class Keep(Enum):
    """What to do with unsaved work."""

    SAVE = "save"
    DISCARD = "discard"
    CANCEL = "cancel"


class Overwrite(Enum):
    """What to do with a file that somebody else changed."""

    OVERWRITE = "overwrite"
    SAVE_AS = "save as"
    COMPARE = "compare"
    CANCEL = "cancel"


class Questions(Protocol):
    """Everything that stops the desk for an answer; tests answer in its place."""

    def keep_work(self, name: str) -> Keep:
        """Ask what to do with unsaved work."""

    def throw_away(self, words: str) -> bool:
        """Ask whether unsaved work that was kept, named by these words, is to be deleted."""

    def write_over(self, name: str) -> Overwrite:
        """Ask what to do with a file that was changed since the desk read or wrote it."""

    def go_on_without(self, words: str) -> bool:
        """Ask whether to go on without what is typed and can't be read, a line for each field."""

    def what_to_open(self, near: Path | None) -> Path | None:
        """Ask for a plan file."""

    def where_to_save(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the plan."""

    def where_to_brief(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the briefing."""

    def where_to_request(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the request sheet."""

    def where_to_export(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the flight for other programs."""

    def where_to_card(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the observer's card."""

    def which_charts(self) -> Path | None:
        """Ask for a chart set's folder."""

    def which_chart_files(self) -> Sequence[Path]:
        """Ask for publishers' files."""

    def which_restrictions(self) -> Path | None:
        """Ask for a file of temporary restrictions."""

    def which_terrain(self) -> Path | None:
        """Ask for a raster."""

    def tell(self, head: str, line: str) -> None:
        """Tell of trouble with a file."""

    def show_cautions(self) -> None:
        """Show what a plan is not."""


class Boxes:
    """Asks in the system's own dialogs."""

    def __init__(self, window: QWidget) -> None:
        self._window = window

    def keep_work(self, name: str) -> Keep:
        """Ask what to do with unsaved work."""
        box = QMessageBox(self._window)
        box.setWindowTitle("Unsaved work")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"“{name}” has changes that are not on the disk.")
        save = box.addButton("Save", QMessageBox.ButtonRole.AcceptRole)
        discard = box.addButton("Discard", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton("Cancel", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(save)
        box.exec()
        if box.clickedButton() is save:
            return Keep.SAVE
        return Keep.DISCARD if box.clickedButton() is discard else Keep.CANCEL

    def throw_away(self, words: str) -> bool:
        """Ask whether unsaved work that was kept, named by these words, is to be deleted."""
        box = QMessageBox(self._window)
        box.setWindowTitle("Unsaved work")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"Delete the {words}?")
        box.setInformativeText("Nothing brings it back.")
        keep = box.addButton("Keep it", QMessageBox.ButtonRole.RejectRole)
        delete = box.addButton("Delete it", QMessageBox.ButtonRole.DestructiveRole)
        box.setDefaultButton(keep)
        box.exec()
        return box.clickedButton() is delete

    def write_over(self, name: str) -> Overwrite:
        """Ask what to do with a file that was changed since the desk read or wrote it."""
        box = QMessageBox(self._window)
        box.setWindowTitle("Changed on the disk")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"“{name}” was changed on the disk since this desk last read or wrote it.")
        box.setInformativeText("Writing over it would lose that change. Nothing is written yet.")
        answers = {
            box.addButton("Show what changed", QMessageBox.ButtonRole.AcceptRole): Overwrite.COMPARE,
            box.addButton("Save as…", QMessageBox.ButtonRole.AcceptRole): Overwrite.SAVE_AS,
            box.addButton("Write over it", QMessageBox.ButtonRole.DestructiveRole): Overwrite.OVERWRITE,
        }
        box.addButton("Cancel", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(next(iter(answers)))
        box.exec()
        return next(
            (what for button, what in answers.items() if button is box.clickedButton()), Overwrite.CANCEL
        )

    def go_on_without(self, words: str) -> bool:
        """Ask whether to go on without what is typed and can't be read, a line for each field."""
        box = QMessageBox(self._window)
        box.setWindowTitle("Not in the plan")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText("This can't be read, or lacks something, so it is not in the plan:")
        box.setInformativeText(words)
        show = box.addButton("Show the field", QMessageBox.ButtonRole.RejectRole)
        go_on = box.addButton("Go on without it", QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(show)
        box.exec()
        return box.clickedButton() is go_on

    def what_to_open(self, near: Path | None) -> Path | None:
        """Ask for a plan file."""
        folder = str(near.parent) if near else ""
        return _path(QFileDialog.getOpenFileName(self._window, "Open a plan", folder, _PLANS)[0])

    def where_to_save(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the plan."""
        start = str(now) if now else f"{_file_name(title)}{PLAN_SUFFIX}"
        return _path(QFileDialog.getSaveFileName(self._window, "Save the plan", start, _PLANS)[0])

    def where_to_brief(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the briefing."""
        folder = now.parent if now else Path()
        start = str(folder / f"{_file_name(title)}.pdf")
        return _path(QFileDialog.getSaveFileName(self._window, "Export briefing", start, "PDF (*.pdf)")[0])

    def where_to_request(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the request sheet."""
        folder = now.parent if now else Path()
        start = str(folder / f"{_file_name(title)}_request.pdf")
        kinds = "PDF (*.pdf);;KML (*.kml);;GeoJSON (*.geojson)"
        chosen, kind = QFileDialog.getSaveFileName(self._window, "Write request sheet", start, kinds)
        path = _path(chosen)
        ending = kind.partition("*")[2].rstrip(")")
        return path.with_suffix(ending) if path is not None and not path.suffix and ending else path

    def where_to_export(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the flight for other programs."""
        kinds = "KML (*.kml);;GPX (*.gpx);;GeoJSON (*.geojson)"
        start = str((now.parent if now else Path()) / f"{_file_name(title)}_flight.kml")
        chosen, kind = QFileDialog.getSaveFileName(self._window, "Export flight", start, kinds)
        path = _path(chosen)
        ending = kind.partition("*")[2].rstrip(")")
        return path.with_suffix(ending) if path is not None and not path.suffix and ending else path

    def where_to_card(self, now: Path | None, title: str) -> Path | None:
        """Ask under what name to write the observer's card."""
        start = str((now.parent if now else Path()) / f"{_file_name(title)}_card.png")
        path = _path(QFileDialog.getSaveFileName(self._window, "Card for a phone", start, "PNG (*.png)")[0])
        return path.with_suffix(".png") if path is not None else None

    def which_charts(self) -> Path | None:
        """Ask for a chart set's folder."""
        return _path(QFileDialog.getExistingDirectory(self._window, "Choose a chart set's folder"))

    def which_chart_files(self) -> Sequence[Path]:
        """Ask for publishers' files."""
        chosen, _ = QFileDialog.getOpenFileNames(self._window, "Choose publishers' files")
        return [Path(name) for name in chosen]

    def which_restrictions(self) -> Path | None:
        """Ask for a file of temporary restrictions."""
        return _path(QFileDialog.getOpenFileName(self._window, "Choose temporary restrictions")[0])

    def which_terrain(self) -> Path | None:
        """Ask for a raster."""
        kinds = "Terrain (*.tif *.tiff *.vrt *.img *.hgt);;All files (*)"
        return _path(QFileDialog.getOpenFileName(self._window, "Choose terrain", "", kinds)[0])

    def tell(self, head: str, line: str) -> None:
        """Tell of trouble with a file."""
        box = QMessageBox(QMessageBox.Icon.NoIcon, head, line, QMessageBox.StandardButton.Ok, self._window)
        box.setTextFormat(box.textFormat().PlainText)
        box.exec()

    def show_cautions(self) -> None:
        """Show what a plan is not."""
        self.tell("Cautions", "\n\n".join(CAUTIONS))


def _path(text: str) -> Path | None:
    return Path(text) if text else None


def _file_name(title: str) -> str:
    kept = "".join(letter if letter.isalnum() or letter in " -_" else " " for letter in title)
    return "_".join(kept.lower().split()) or "plan"
