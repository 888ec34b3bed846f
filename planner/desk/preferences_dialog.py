"""What the pilot prefers of the look: appearance and size of text, shown at once while they are chosen."""

import attrs
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField
from planner.desk.form_dialog import FormDialog
from planner.desk.stand_aside import fit_text
from planner.settings import LARGEST_TEXT_PERCENT, SMALLEST_TEXT_PERCENT, Settings

_WIDTH = 420
_STEP_PERCENT = 10
_WHY = "None of this changes a plan, its check or the sheet."
_APPEARANCE_WORDS = {
    "light": "Light: dark words on paper",
    "dark": "Dark: light words on a dark ground",
    "high-contrast": "High contrast: black on white, black edges",
}


class PreferencesDialog(FormDialog):
    """Asks for appearance and size of text; `tried` carries the settings whenever another is chosen."""

    tried = Signal(object)

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self.appearance = ChoiceField(
            "Appearance",
            "The map and the sheet stay light in each of them",
            _APPEARANCE_WORDS,
            may_be_unset=False,
        )
        self.text_size = ChoiceField(
            "Size of text",
            "Of all words on the desk, those of the profile included; the map's labels keep their size",
            _sizes(settings.text_percent),
            may_be_unset=False,
        )
        self.appearance.show_value(settings.appearance)
        self.text_size.show_value(settings.text_percent)
        self.lay_out(
            manual="windows/preferences",
            heading="Preferences",
            why=_WHY,
            says="Seen at once, and kept for the next time. The map and the sheet stay light. " + _WHY,
            rows=((self.appearance,), (self.text_size,)),
            keep="Keep",
            width=_WIDTH,
        )
        for field in (self.appearance, self.text_size):
            field.committed.connect(self._on_chosen)
        self.refit()

    @property
    def settings(self) -> Settings:
        """The settings with what is chosen now."""
        return attrs.evolve(
            self._settings, appearance=self.appearance.value(), text_percent=self.text_size.value()
        )

    def refit(self) -> None:
        """Take the room that the words need at their present size."""
        fit_text(self, _WIDTH)

    def _on_chosen(self) -> None:
        self.tried.emit(self.settings)


def _sizes(now_percent: float) -> dict[float, str]:
    steps = range(SMALLEST_TEXT_PERCENT, LARGEST_TEXT_PERCENT + 1, _STEP_PERCENT)
    sizes = sorted({float(step) for step in steps} | {now_percent})
    return {size: f"{size:g} %" + (" (as it comes)" if size == 100.0 else "") for size in sizes}
