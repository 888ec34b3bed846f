"""The aircraft's radio links."""

import attrs
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField, TextField
from planner.desk.forms.bounded import within_bounds
from planner.desk.forms.rows_editor import Row, RowsEditor
from planner.desk.forms.specs import FieldSpec, quantity
from planner.desk.quantities import FREQUENCIES, GAINS, HEIGHT, LENGTHS, LEVELS, MARGINS, POWERS, words
from planner.desk.words import RADIO_WORDS, SIGNAL_WORDS
from planner.errors import PlanError
from planner.plan import bounds
from planner.plan.aircraft import Radio

_BUDGET = (
    quantity(
        "ground_gain",
        "Gain on the ground",
        "Of the antenna on the ground, where it points; dBi. The margin hangs on it",
        GAINS,
        "dBi",
        1,
        bounds=bounds.GAIN,
        example="8 dBi",
    ),
    quantity(
        "air_gain",
        "Gain in the air",
        "Of the antenna on the aircraft; dBi. The margin hangs on it",
        GAINS,
        "dBi",
        1,
        bounds=bounds.GAIN,
        example="2 dBi",
    ),
    quantity(
        "sensitivity",
        "Sensitivity",
        "The weakest signal the receiver still takes; dBm, below zero. The margin is counted from it",
        LEVELS,
        "dBm",
        1,
        bounds=bounds.SENSITIVITY,
        example="-95 dBm",
    ),
    quantity(
        "margin",
        "Margin wanted",
        "Left over the sensitivity; dB. Less is a stop; 10 dB if not said",
        MARGINS,
        "dB",
        1,
        bounds=bounds.MARGIN,
        example="10 dB",
    ),
    quantity(
        "antenna",
        "Antenna height",
        "Of the antenna on the ground above it; {height}. 5 ft if not said",
        LENGTHS,
        HEIGHT,
        1,
        bounds=bounds.ANTENNA_HEIGHT,
        example="5 ft",
    ),
    quantity(
        "width",
        "Width",
        "What its signal takes; MHz. 20 MHz if not said; a digital one may take 40",
        FREQUENCIES,
        "MHz",
        1,
        bounds=bounds.CHANNEL_WIDTH,
        example="20 MHz",
    ),
)
_OF_MODEL = dict(
    zip(
        (
            "ground_gain_dbi",
            "air_gain_dbi",
            "sensitivity_dbm",
            "required_margin_db",
            "ground_antenna_m",
            "width_mhz",
        ),
        _BUDGET,
        strict=True,
    )
)


class RadiosEditor(RowsEditor):
    """A row a radio; `changed` carries all of them."""

    changed = Signal(tuple)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Radios", "Add a radio", parent)
        self._radios: tuple[Radio, ...] = ()
        self.edited.connect(self._on_edited)

    def make_fields(self) -> Row:
        """Return use, frequency, power, kind of signal, channel, and the figures of the margin."""
        return {
            "use": ChoiceField("Carries", "What the radio carries", RADIO_WORDS),
            "frequency": TextField(
                "Frequency",
                "MHz unless you type GHz",
                within_bounds("frequency", FREQUENCIES, "MHz", bounds.FREQUENCY),
                example="5800 MHz",
            ),
            "power": TextField(
                "Power",
                "mW unless you type W",
                within_bounds("power", POWERS, "mW", bounds.RADIO_POWER),
                example="25 mW",
            ),
            "analog": ChoiceField("Signal", "An analog picture fades, a digital one freezes", SIGNAL_WORDS),
            "channel": TextField(
                "Channel",
                "As the radio names it; pilots at one place agree on theirs",
                example="R4",
                blank="",
            ),
            **{spec.key: _figure(spec) for spec in _BUDGET},
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
                    *(_shown(spec, getattr(radio, name)) for name, spec in _OF_MODEL.items()),
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
                    **{name: row[spec.key] for name, spec in _OF_MODEL.items()},
                }
                radios.append(attrs.evolve(old, **shown) if old else Radio(**shown))
            except PlanError as error:
                self.complain(error.one_line())
                return
        self.complain("")
        self.changed.emit(tuple(radios))


def _figure(spec: FieldSpec) -> TextField:
    assert spec.parse is not None
    return TextField(spec.label, spec.tip, spec.parse, example=spec.example)


def _shown(spec: FieldSpec, value: float | None) -> tuple[str, float | None]:
    return "" if value is None else spec.shown(value), value
