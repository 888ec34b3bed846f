"""What the pilot prefers: appearance, size of text and units, shown at once while they are chosen."""

import attrs
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField
from planner.desk.form_dialog import FormDialog
from planner.desk.stand_aside import fit_text
from planner.saying import Units
from planner.settings import LARGEST_TEXT_PERCENT, SMALLEST_TEXT_PERCENT, Settings

_WIDTH = 460
_STEP_PERCENT = 10
_WHY = "None of this changes a plan, its check or the sheet."
_APPEARANCE_WORDS = {
    "light": "Light: dark words on paper",
    "dark": "Dark: light words on a dark ground",
    "high-contrast": "High contrast: black on white, black edges",
}


class PreferencesDialog(FormDialog):
    """Asks for appearance, size of text and units; `tried` carries the settings at each choice."""

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
        self.heights, self.speeds, self.ways, self.times = _unit_fields()
        self.appearance.show_value(settings.appearance)
        self.text_size.show_value(settings.text_percent)
        units = settings.units
        for field, value in zip(self._of_units(), attrs.astuple(units), strict=True):
            field.show_value(value)
        self.lay_out(
            manual="windows/preferences",
            heading="Preferences",
            why=_WHY,
            says="Seen at once, and kept for the next time. The map and the sheet stay light. " + _WHY,
            rows=(
                (self.appearance,),
                (self.text_size,),
                (self.heights, self.speeds),
                (self.ways, self.times),
            ),
            keep="Keep",
            width=_WIDTH,
        )
        for field in (self.appearance, self.text_size, *self._of_units()):
            field.committed.connect(self._on_chosen)
        self.refit()

    @property
    def settings(self) -> Settings:
        """The settings with what is chosen now."""
        return attrs.evolve(
            self._settings,
            appearance=self.appearance.value(),
            text_percent=self.text_size.value(),
            units=Units(*(field.value() for field in self._of_units())),
        )

    def _of_units(self) -> tuple[ChoiceField, ...]:
        return self.heights, self.speeds, self.ways, self.times

    def refit(self) -> None:
        """Take the room that the words need at their present size."""
        fit_text(self, _WIDTH)

    def _on_chosen(self) -> None:
        self.tried.emit(self.settings)


def _unit_fields() -> tuple[ChoiceField, ...]:
    """Return the fields of the units, in the order of `Units`."""
    return tuple(
        ChoiceField(label, tip, choices, may_be_unset=False)
        for label, tip, choices in (
            (
                "Heights, lengths, weights",
                "In findings, tables and forms; weights, sizes and energies go with them: lb, in, ft lbf, or "
                "kg, cm, J. Figures of the law keep their units, with metres beside feet",
                {"ft": "Feet", "m": "Metres"},
            ),
            (
                "Speeds",
                "Of wind and aircraft",
                {"kt": "Knots", "mph": "Miles per hour", "m/s": "Metres per second"},
            ),
            (
                "Distances",
                "Along the path and over the ground; visibility stays in statute miles, as rules have it",
                {"km": "Metres and kilometres", "mi": "Statute miles", "NM": "Nautical miles"},
            ),
            ("Times", "Of the window and of what ends", {False: "Local, of the plan's zone", True: "UTC"}),
        )
    )


def _sizes(now_percent: float) -> dict[float, str]:
    steps = range(SMALLEST_TEXT_PERCENT, LARGEST_TEXT_PERCENT + 1, _STEP_PERCENT)
    sizes = sorted({float(step) for step in steps} | {now_percent})
    return {size: f"{size:g} %" + (" (as it comes)" if size == 100.0 else "") for size in sizes}
