"""What is asked of each kind of figure, and the shape that comes of it."""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from planner.desk.fields import ChoiceField, TextField
from planner.desk.flown.fields import (
    height_field,
    length_field,
    show_height,
    show_length,
    show_speed,
    speed_field,
)
from planner.desk.flown.words import NOT_JUDGED
from planner.desk.forms.bounded import bounded
from planner.desk.quantities import CLIMBS, HEIGHT, LENGTHS, PLAIN, SPEED, SPEEDS, words
from planner.errors import PlanError
from planner.geo.geodesy import distance_m
from planner.geo.heights import AboveSeaLevel, Height, height_of, reference_of
from planner.geo.place import Place
from planner.plan.figure_shapes import (
    DiveShape,
    FigureShape,
    GapShape,
    OrbitShape,
    PassShape,
    nearest_on_way_m,
    tangent_entry,
)
from planner.plan.figures import FigureKind

Places = Sequence[Place]
Drop = Callable[[Place, Height, Place, Height], float | None]
"""How far it is down from one place at one height to another [m], None where nobody knows."""

_USUAL_RUN_OUT_M: Final = 30.48
_LEAST_M, _MOST_M = 0.5, 10_000.0
_ASIDE_SHARE: Final = 0.25
_NEAR_SHARE: Final = 0.98
"""Nearer to an orbit's middle than so much of its radius, a way leads through the circle."""


class Laying:
    """Fields for one kind of figure; `rows` lays them out, `shape` is what they make."""

    rows: tuple[tuple[TextField | ChoiceField, ...], ...]

    def shape(self) -> FigureShape:
        """Return the shape.

        Raises
        ------
        PlanError
            If a field can't be read.
        """
        raise NotImplementedError

    def come_from(self, before: Place) -> None:
        """Take into account where the path is before the figure; most kinds need not."""

    def show(self, shape: Any) -> None:  # noqa: ANN401
        """Fill in the figures of a shape of this kind."""
        raise NotImplementedError

    def says(self) -> str:
        """Return what follows from the fields, or what must be known."""
        return "Heights above ground make it follow the ground; above launch or sea level it is level."

    @property
    def fields(self) -> tuple[TextField | ChoiceField, ...]:
        """All fields, in order."""
        return tuple(field for row in self.rows for field in row)


class OrbitLaying(Laying):
    """Round a centre."""

    def __init__(self, places: Places, height: Height, _drop: Drop) -> None:
        self._places = places
        self.radius = length_field(
            "Radius", "Never nearer to its middle than that", distance_m(*places[:2]), _LEAST_M, _MOST_M
        )
        self.sense = ChoiceField(
            "Way round",
            "As seen from above",
            {True: "clockwise", False: "counter-clockwise"},
            may_be_unset=False,
        )
        self.turns = TextField(
            "Turns", "How many times round; 0.5 is half", bounded("turns", PLAIN, "", 0.05, 10.0), example="1"
        )
        self.turns.show_text("1", 1.0)
        self.height = _height("Height", "Of the whole orbit", height)
        self.speed = speed_field()
        self.begins = ChoiceField(
            "Begins",
            "Where the way from the point before meets the circle, or on the side that was clicked",
            {True: "on the near side", False: "where it was clicked"},
            may_be_unset=False,
        )
        self.begins.show_value(False)
        self._before: Place | None = None
        self.rows = ((self.radius, self.height), (self.sense, self.turns), (self.speed,))

    def come_from(self, before: Place) -> None:
        """Begin where the way meets the circle if the way to the place clicked leads through it."""
        self._before = before
        self.rows = (*self.rows[:-1], (self.speed, self.begins))
        radius_m = distance_m(*self._places[:2])
        through = nearest_on_way_m(self._places[0], before, self._places[1]) < _NEAR_SHARE * radius_m
        self.begins.show_value(through and distance_m(self._places[0], before) > radius_m)

    def says(self) -> str:
        """Return what follows from the fields, and whether the way to it leads through the circle."""
        try:
            shape = self.shape()
            near_m = self._way_m(shape, shape.points()[0].place)
            clicked_m = self._way_m(shape, self._places[1])
        except PlanError:
            return super().says()
        if near_m < _NEAR_SHARE * shape.radius_m:
            way = f"The way to its beginning leads through the circle, {words(near_m, HEIGHT, LENGTHS)} from "
            return f"{way}its middle. {super().says()}"
        if self.begins.value() and clicked_m < _NEAR_SHARE * shape.radius_m:
            return f"The way to the side that was clicked would lead through the circle. {super().says()}"
        return super().says()

    def _way_m(self, shape: OrbitShape, begin: Place) -> float:
        """Return how near the way to where it begins comes to its middle [m]; inf where there is none."""
        if self._before is None:
            return math.inf
        return nearest_on_way_m(shape.centre, self._before, begin)

    def show(self, shape: OrbitShape) -> None:
        """Fill in an orbit; it goes on beginning where it does."""
        self._places = (shape.centre, shape.begin)
        self.begins.show_value(False)
        show_length(self.radius, shape.radius_m)
        show_height(self.height, shape.height)
        self.sense.show_value(shape.clockwise)
        self.turns.show_text(f"{shape.turns:.3g}", shape.turns)
        show_speed(self.speed, shape.speed_mps)

    def shape(self) -> OrbitShape:
        """Return the orbit."""
        centre, begin = self._places[:2]
        radius_m, clockwise = _given(self.radius, "a radius"), self.sense.value()
        if self.begins.value() and self._before is not None:
            met = tangent_entry(centre, radius_m, self._before, clockwise=clockwise)
            if met is None:
                raise PlanError(
                    "the point before lies within the circle, so no way meets it from outside",
                    remedy="let it begin where it was clicked",
                )
            begin = met
        return OrbitShape(
            centre,
            begin,
            radius_m,
            _given(self.height, "a height"),
            clockwise=clockwise,
            turns=_given(self.turns, "a number of turns"),
            speed_mps=self.speed.value(),
        )


class DiveLaying(Laying):
    """Down a line."""

    def __init__(self, places: Places, height: Height, drop: Drop) -> None:
        self._places = places
        self._drop = drop
        self.top = _height("Height at its top", "Where it begins", height)
        # Half of a figure above sea level says nothing of the ground there.
        low = None if isinstance(height, AboveSeaLevel) else height_of(reference_of(height), height.m / 2)
        self.bottom = height_field("Height at its bottom", "Where it ends", low, reference_of(height))
        self.rate = TextField(
            "Descent",
            "How fast it comes down; m/s unless you type ft/min. It makes the speed along the line",
            bounded("descent", CLIMBS, "m/s", 0.1, 80.0),
            example="not said",
        )
        self.run_out = length_field(
            "Run-out", "How far it goes on at that height; 0 for none", _USUAL_RUN_OUT_M, 0.0, _MOST_M
        )
        self.rows = ((self.top, self.bottom), (self.rate, self.run_out))

    def show(self, shape: DiveShape) -> None:
        """Fill in a dive."""
        show_height(self.top, shape.top_height)
        show_height(self.bottom, shape.bottom_height)
        self.rate.show_text(words(shape.descent_mps, "m/s", CLIMBS, 1), shape.descent_mps)
        show_length(self.run_out, shape.run_out_m)

    def shape(self) -> DiveShape:
        """Return the dive."""
        top, bottom = _given(self.top, "a height at its top"), _given(self.bottom, "a height at its bottom")
        return DiveShape(
            self._places[0],
            self._places[1],
            top,
            bottom,
            self.rate.value(),
            self._drop(self._places[0], top, self._places[1], bottom),
            self.run_out.value() or 0.0,
        )

    def says(self) -> str:
        """Return how steep it is and how fast it has to be flown."""
        try:
            shape = self.shape()
        except PlanError:
            return "From the first place down to the second, straight."
        if shape.drop_m is None:
            return "The ground is not known there: neither is how steep it is, and no speed is set."
        if shape.drop_m <= 0.0:
            return "There it would climb: the bottom must be below the top."
        steep = f"{math.degrees(math.atan2(shape.drop_m, shape.length_m)):.0f}° down"
        if shape.speed_mps is None:
            return f"{steep}. With a descent it gets the speed that makes it."
        return f"{steep}, {words(shape.speed_mps, SPEED, SPEEDS, 1)} along the line."


class GapLaying(Laying):
    """Through an opening."""

    def __init__(self, places: Places, height: Height, _drop: Drop) -> None:
        self._places = places
        self.height = _height("Height", "At the opening and on both sides of it", height)
        self.speed = speed_field()
        self.rows = ((self.height, self.speed),)

    def show(self, shape: GapShape) -> None:
        """Fill in a gap."""
        show_height(self.height, shape.height)
        show_speed(self.speed, shape.speed_mps)

    def shape(self) -> GapShape:
        """Return the run through the opening."""
        return GapShape(self._places[0], self._places[1], _given(self.height, "a height"), self.speed.value())

    def says(self) -> str:
        """Say that nobody judges it."""
        return NOT_JUDGED


class PassLaying(Laying):
    """By a subject."""

    def __init__(self, places: Places, height: Height, _drop: Drop) -> None:
        self._places = places
        aside_m = max(_ASIDE_SHARE * distance_m(*places[:2]), _LEAST_M)
        self.aside = length_field("Passes it by", "At the nearest, on the map", aside_m, _LEAST_M, _MOST_M)
        self.side = ChoiceField(
            "Subject on the", "As the pilot looks ahead", {True: "left", False: "right"}, may_be_unset=False
        )
        self.height = _height("Height", "Of the whole pass", height)
        self.speed = speed_field()
        self.rows = ((self.aside, self.side), (self.height, self.speed))

    def show(self, shape: PassShape) -> None:
        """Fill in a pass."""
        show_length(self.aside, shape.aside_m)
        self.side.show_value(shape.on_left)
        show_height(self.height, shape.height)
        show_speed(self.speed, shape.speed_mps)

    def shape(self) -> PassShape:
        """Return the pass."""
        return PassShape(
            self._places[0],
            self._places[1],
            _given(self.aside, "a distance from the subject"),
            _given(self.height, "a height"),
            on_left=self.side.value(),
            speed_mps=self.speed.value(),
        )


LAYINGS: Final[Mapping[FigureKind, Callable[[Places, Height, Drop], Laying]]] = {
    FigureKind.DIVE: DiveLaying,
    FigureKind.ORBIT: OrbitLaying,
    FigureKind.GAP: GapLaying,
    FigureKind.PASS: PassLaying,
}


def _height(label: str, tip: str, height: Height) -> TextField:
    return height_field(label, tip, height, reference_of(height))


def _given(field: TextField, what: str) -> Any:  # noqa: ANN401
    value = field.value()
    if value is None:
        raise PlanError(f"the figure has no {what.partition(' ')[2]}", remedy=f"type {what}")
    return value
