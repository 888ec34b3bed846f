"""The way from the desk to the preferences; what is tried there is worn at once, and taken off on Cancel."""

from collections.abc import Callable

import attrs
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from planner.desk import saying
from planner.desk.preferences_dialog import PreferencesDialog
from planner.desk.style import dress
from planner.settings import Settings


class PreferencesDoor(QObject):
    """Opens the dialog.

    `settings_changed` carries settings to keep; `redressed` says that the application wears another look,
    for what does not hear of it from Qt; `resized` that words have another size; `spoken` that other units
    are in use.
    """

    settings_changed = Signal(object)
    redressed = Signal()
    resized = Signal()
    spoken = Signal()

    def __init__(self, settings: Callable[[], Settings], owner: QWidget) -> None:
        super().__init__(owner)
        self.dialog: PreferencesDialog | None = None
        self._settings = settings
        self._owner = owner
        self._worn = settings()

    def present(self) -> None:
        """Ask."""
        if self.dialog is not None:
            return
        self._worn = self._settings()
        dialog = self.dialog = PreferencesDialog(self._settings(), self._owner)
        dialog.tried.connect(self._wear)
        dialog.finished.connect(lambda code: self._on_finished(dialog, code))
        dialog.open()

    def close(self) -> None:
        """Close what is open; nothing is kept."""
        if self.dialog is not None:
            self.dialog.reject()

    def _on_finished(self, dialog: PreferencesDialog, code: int) -> None:
        self.dialog = None
        dialog.deleteLater()
        if code != QDialog.DialogCode.Accepted:
            self._wear(self._settings())
            return
        chosen = dialog.settings
        self._wear(chosen)
        # Layers may have been switched meanwhile: only what was asked for here is changed.
        kept = attrs.evolve(
            self._settings(),
            appearance=chosen.appearance,
            text_percent=chosen.text_percent,
            units=chosen.units,
        )
        self.settings_changed.emit(kept)

    def _wear(self, settings: Settings) -> None:
        before, self._worn = self._worn, settings
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        if settings.units != before.units:
            saying.choose(application, settings.units)
            self.spoken.emit()
        if _look(settings) == _look(before):
            return
        dress(application, settings)
        self.redressed.emit()
        if settings.text_percent != before.text_percent:
            self.resized.emit()
        if self.dialog is not None:
            self.dialog.refit()


def _look(settings: Settings) -> tuple[str, float]:
    return settings.appearance, settings.text_percent
