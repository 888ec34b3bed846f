"""The weather: reports as they were issued, and what the pilot measured or was told."""

import re
from functools import partial
from typing import Any

import attrs
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Field, Section, TextField
from planner.desk.forms.bounded import bounded, within_bounds
from planner.desk.forms.lacking import where_it_lacks
from planner.desk.forms.remarks import remark
from planner.desk.forms.report_lines import ReportLines
from planner.desk.forms.report_load import ReportLoad
from planner.desk.forms.report_words import report_lines, station_named
from planner.desk.forms.station_fields import StationFields
from planner.desk.forms.text_box import TextBox
from planner.desk.forms.waiting import Waiting
from planner.desk.quantities import ANGLES, HEIGHT, LENGTHS, PRESSURES, SPEED, SPEEDS, parse, words
from planner.desk.saying import units_in_use
from planner.desk.words import WIND_LAW_WORDS
from planner.errors import PlanError
from planner.plan.bounds import WIND_HEIGHT
from planner.plan.edits import SetWeather
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw

_STRONGEST_MPS = 115.0
_MEASURED_AT_M = 10.0
_NOT_TAKEN = "The wind is not taken yet: mend what is refused."


class WeatherSection(Section):
    """Every field is a step of its own; the wind counts once speed and direction are there."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Weather",
            "Wind, cloud and temperature decide whether it comes home; what is typed goes before the reports",
            parent,
        )
        self._document = document
        self._waiting = Waiting()
        self._told: tuple[object, ...] = ()
        self._make_reports()
        self._make_station()
        self._make_wind()
        self._make_air()

    def refresh(self) -> None:
        """Show the plan's weather; a wind that is only half said is left as it was typed."""
        weather = self._weather()
        for name in ("metar", "taf"):
            self.reports[name].show_text(getattr(weather, name))
        self.station.show(weather.station)
        if not self._waiting.still(self._held()):
            self._show_wind(weather.wind)
        self.cloud.show_text(words(weather.cloud_base_m, HEIGHT, LENGTHS), weather.cloud_base_m)
        self.temperature.show_text(_celsius_words(weather.temperature_c), weather.temperature_c)
        self.pressure.show_text(words(weather.pressure_hpa, "hPa", PRESSURES, 1), weather.pressure_hpa)
        self._tell(weather)

    def blank(self) -> None:
        """Forget all; a half said wind or station of another plan waits no more."""
        super().blank()
        self._waiting.end()
        self.station.forget()

    def input_of(self, field: str) -> QWidget | None:
        """Return the input of one field."""
        typed = {
            "wind": self.speed,
            "cloud": self.cloud,
            "temperature": self.temperature,
            "pressure": self.pressure,
        }
        if field == "station":
            return self.station.place.input
        owner: Field = typed[field] if field in typed else self.reports[field]
        return owner.input

    def _weather(self) -> PlannedWeather:
        return self._document.plan.weather or PlannedWeather()

    def _make_reports(self) -> None:
        tip = "pasted as it was issued and kept character for character; reports name their own units. "
        self.reports = {
            "metar": TextBox("METAR", "The newest report, " + tip + "Older than 3 hours, it doesn't count"),
            "taf": TextBox("TAF", "The forecast, " + tip + "The worst of the flight's hours counts"),
        }
        self.understood: dict[str, ReportLines] = {}
        self.loads: dict[str, ReportLoad] = {}
        for name, box in self.reports.items():
            box.edit.setPlaceholderText(f"Paste the {box.label.text()} here, or load it from a file")
            self.understood[name] = ReportLines(self)
            self.add_row(box)
            self.add_row(self.understood[name])
            box.committed.connect(partial(self._set_report, name, box))
            load = self.loads[name] = ReportLoad(box.label.text(), box)
            box.put_beside_name(load)
            load.loaded.connect(partial(self._take_loaded, name, box))
            load.refused.connect(partial(remark, box))

    def _make_station(self) -> None:
        self.station = StationFields(self._reported_station, self)
        self.station.changed.connect(lambda station: self._set(station=station))
        ident, place, height = self.station.fields
        self.add_row(ident, height)
        self.add_row(place)

    def _reported_station(self) -> str:
        return station_named(self._weather())

    def _make_wind(self) -> None:
        self.direction = TextField(
            "Wind from",
            "Degrees clockwise from true north, where it blows from. It decides how hard the way home is",
            bounded("wind direction", ANGLES, "°", 0.0, 360.0),
            example="240",
        )
        self.speed = TextField(
            "Wind",
            "Mean speed; {speed}. Ground speed and charge hang on it",
            bounded("wind", SPEEDS, SPEED, 0.0, _STRONGEST_MPS),
            example="8 kt",
        )
        self.gust = TextField(
            "Gusts",
            "Peak speed; {speed}. A path must be held in gusts, too",
            bounded("gusts", SPEEDS, SPEED, 0.0, _STRONGEST_MPS),
            example="14 kt",
        )
        self.measured_at = TextField(
            "Wind measured at",
            "Height above ground; {height}. Wind grows from there; 33 ft if not said",
            within_bounds("height of the wind", LENGTHS, HEIGHT, WIND_HEIGHT),
            example="33 ft",
        )
        self.law = ChoiceField(
            "Wind with height",
            "How wind is taken to grow with height above ground; it is stronger where you fly",
            WIND_LAW_WORDS,
            may_be_unset=False,
        )
        for field in (self.direction, self.speed, self.gust, self.measured_at, self.law):
            field.committed.connect(self._commit_wind)
        self.add_row(self.direction, self.speed)
        self.add_row(self.gust, self.measured_at)

    def _make_air(self) -> None:
        self.cloud = TextField(
            "Cloud base",
            "Lowest cloud above the launch point; {height}. Part 107 wants 500 ft below it",
            bounded("cloud base", LENGTHS, HEIGHT, 0.0, 20_000.0),
            example="2,500 ft",
        )
        self.temperature = TextField(
            "Temperature",
            "Degrees Celsius unless you type F. Cold shrinks the battery; heat thins the air",
            _parse_celsius,
            example="12 °C",
        )
        self.pressure = TextField(
            "Pressure at sea level",
            "The altimeter setting; hPa unless you type inHg. It gives the air's density",
            bounded("pressure", PRESSURES, "hPa", 850.0, 1090.0, remedy="with inches, type 29.92 inHg"),
            example="1013 hPa",
        )
        fields: dict[str, Field] = {
            "cloud_base_m": self.cloud,
            "temperature_c": self.temperature,
            "pressure_hpa": self.pressure,
        }
        for name, field in fields.items():
            field.committed.connect(partial(self._set_from, name, field))
        self.add_row(self.law, self.cloud)
        self.add_row(self.temperature, self.pressure)

    def _set_from(self, name: str, field: Field) -> None:
        self._set(**{name: field.value()})

    def _take_loaded(self, name: str, box: TextBox, text: str) -> None:
        remark(box, "")
        self._set(**{name: text})

    def _set_report(self, name: str, box: TextBox) -> None:
        remark(box, "")
        self._set(merge_key=(name, box.visit), **{name: box.value()})

    def _set(self, *, merge_key: object = None, **changed: Any) -> None:  # noqa: ANN401
        edit = SetWeather(attrs.evolve(self._weather(), **changed))
        self._document.try_edit(edit, merge_key=merge_key)

    def _show_wind(self, wind: TypedWind | None) -> None:
        told = (
            (self.direction, "°", ANGLES, 0, wind.from_true_deg if wind else None),
            (self.speed, SPEED, SPEEDS, 1, wind.speed_mps if wind else None),
            (self.gust, SPEED, SPEEDS, 1, wind.gust_mps if wind else None),
            (self.measured_at, HEIGHT, LENGTHS, 0, wind.measured_at_m if wind else None),
        )
        for field, unit, units, digits, value in told:
            field.show_text(words(value, unit, units, digits), value)
        self.law.show_value(wind.law if wind else WindLaw.POWER)
        self.say("")

    def _commit_wind(self) -> None:
        try:
            direction, speed, gust, height = (
                field.value() for field in (self.direction, self.speed, self.gust, self.measured_at)
            )
        except PlanError:
            self._wait(_NOT_TAKEN)
            return
        self._waiting.end()
        self.gust.complain("")
        if direction is None and speed is None and gust is None:
            self.say("")
            self._set(wind=None)
            return
        if not speed and speed is not None and direction is None:
            direction = 0.0
        missing = [word for word, value in (("speed", speed), ("direction", direction)) if value is None]
        if missing:
            self._set(wind=None)
            self._wait(f"The wind does not count yet. Still needed: its {' and '.join(missing)}.")
            return
        try:
            wind = TypedWind(speed, direction, gust, height or _MEASURED_AT_M, self.law.value())
        except PlanError as error:
            self._wait("")
            self.gust.complain(error.one_line())
            return
        self.say("")
        self._set(wind=wind)

    def half_said(self) -> str:
        """Return what lacks of the wind, and of the station."""
        return " ".join(lacks for lacks in (self._waiting.lacks, self.station.half_said()) if lacks)

    def lacking_input(self, refused: QWidget | None = None) -> QWidget | None:
        """Return where speed or direction of the wind is typed, or what lacks of the station."""
        if refused is None and not self._waiting.lacks and self.station.half_said():
            return self.station.lacking_input()
        return refused or where_it_lacks((self.speed, self.direction))

    def _wait(self, line: str) -> None:
        self._waiting.begin(self._held(), line)
        self.say(line)

    def _held(self) -> object:
        """Return the wind and the units: a figure typed without its unit would be another in others."""
        return self._weather().wind, units_in_use()

    def _tell(self, weather: PlannedWeather) -> None:
        window = self._document.plan.window
        if self._told == (weather.metar, weather.taf, window):
            return
        self._told = (weather.metar, weather.taf, window)
        for name, lines in self.understood.items():
            lines.show_lines(report_lines(getattr(weather, name), window, forecast=name == "taf"))


def _celsius_words(temperature_c: float | None) -> str:
    return "" if temperature_c is None else f"{temperature_c:.1f}".removesuffix(".0") + " °C"


def _parse_celsius(text: str) -> float:
    fahrenheit = re.fullmatch(r"(.*?)\s*(?:°\s*)?[Ff]", text.strip())
    celsius = re.sub(r"\s*(?:°\s*)?[Cc]?$", "", text.strip()) if fahrenheit is None else fahrenheit.group(1)
    value = parse(celsius, {"": 1.0}, "", "temperature")
    if fahrenheit is not None:
        value = (value - 32.0) / 1.8
    if not -90.0 <= value <= 60.0:
        raise PlanError(
            f"temperature: {text.strip()!r} is not from -90 °C to 60 °C", remedy="type F for Fahrenheit"
        )
    return value
