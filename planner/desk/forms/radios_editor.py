"""The aircraft's radio links."""

import attrs
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField, TextField
from planner.desk.forms.rows_editor import Row, RowsEditor
from planner.desk.quantities import FREQUENCIES, POWERS, parse, words
from planner.desk.words import RADIO_WORDS, SIGNAL_WORDS
from planner.errors import PlanError
from planner.plan.aircraft import Radio


class RadiosEditor(RowsEditor):
    """A row a radio; `changed` carries all of them."""

    changed = Signal(tuple)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Radios", "Add a radio", parent)
        self._radios: tuple[Radio, ...] = ()
        self.edited.connect(self._on_edited)

    def make_fields(self) -> Row:
        """Return use, frequency, power, kind of signal and channel."""
        return {
            "use": ChoiceField("Carries", "What the radio carries", RADIO_WORDS),
            "frequency": TextField(
                "Frequency",
                "MHz unless you type GHz",
                lambda text: parse(text, FREQUENCIES, "MHz", "frequency"),
                example="5800 MHz",
            ),
            "power": TextField(
                "Power",
                "mW unless you type W",
                lambda text: parse(text, POWERS, "mW", "power"),
                example="25 mW",
            ),
            "analog": ChoiceField("Signal", "An analog picture fades, a digital one freezes", SIGNAL_WORDS),
            "channel": TextField(
                "Channel",
                "As the radio names it; pilots at one place agree on theirs",
                example="R4",
                blank="",
            ),
        }

    def show_radios(self, radios: tuple[Radio, ...]) -> None:
        """Show the aircraft's radios."""
        self._radios = radios
        self.show_texts(
            [
                (
                    radio.use,
                    (words(radio.frequency_mhz, "MHz", FREQUENCIES, 3), radio.frequency_mhz),
                    (words(radio.power_mw, "mW", POWERS, 1), radio.power_mw),
                    radio.analog,
                    radio.channel,
                )
                for radio in radios
            ]
        )

    def _on_edited(self) -> None:
        radios = []
        for index, row in enumerate(self.values()):
            if row["use"] is None or row["frequency"] is None:
                self.complain("A radio needs what it carries and its frequency")
                return
            old = self._radios[index] if index < len(self._radios) else None
            try:
                shown = {
                    "use": row["use"],
                    "frequency_mhz": row["frequency"],
                    "power_mw": row["power"],
                    "analog": row["analog"],
                    "channel": row["channel"],
                }
                radios.append(attrs.evolve(old, **shown) if old else Radio(**shown))
            except PlanError as error:
                self.complain(error.one_line())
                return
        self.complain("")
        self.changed.emit(tuple(radios))
