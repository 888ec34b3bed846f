"""The fields that all forms of a figure share, and the readers of its quantities."""

from functools import partial

from planner.desk.fields import TextField
from planner.desk.forms.bounded import bounded
from planner.desk.points_text import parse_height
from planner.desk.positions import parse_place, place_text
from planner.desk.quantities import HEIGHT, LENGTHS, SPEED, SPEEDS, words
from planner.geo.heights import Height, HeightReference, reference_of
from planner.geo.place import Place

_WRITTEN = {"above-ground": "AGL", "above-launch": "launch", "above-sea-level": "MSL"}


class SaidFields:
    """Name, call and bail-out place: what is said of any figure."""

    def __init__(self) -> None:
        self.name = TextField("Name", "What you call it; it stands on map, profile and sheet", blank="")
        self.call = TextField(
            "Call",
            "The word said to the observer before it begins: short, and like no other call",
            blank="",
            example="short",
        )
        self.bail_out = TextField(
            "Bail-out",
            "The position to break off to: open, with nobody on it. Not judged",
            parse_place,
            example="none",
        )

    def show(self, name: str, call: str, bail_out: Place | None) -> None:
        """Show what is said."""
        self.name.show_text(name, name)
        self.call.show_text(call, call)
        self.show_bail_out(bail_out)

    def show_bail_out(self, place: Place | None) -> None:
        """Show the way out; untouched it stays exactly where it is."""
        self.bail_out.show_text("" if place is None else place_text(place), place)


def height_field(label: str, tip: str, height: Height | None, reference: HeightReference) -> TextField:
    """Return a field for a height of any kind, `reference` where none is typed."""
    field = TextField(
        label,
        f"{tip}; {{height}}. Above ground unless you type launch or msl"
        if reference == "above-ground"
        else f"{tip}; {{height}}. Type agl, launch or msl for another kind",
        partial(parse_height, reference=reference, what=label.lower()),
        example="120 ft",
    )
    if height is not None:
        show_height(field, height)
    return field


def show_height(field: TextField, height: Height) -> None:
    """Show a height with its kind; untouched it stays exactly as it is."""
    field.show_text(f"{words(height.m, HEIGHT, LENGTHS)} {_WRITTEN[reference_of(height)]}", height)


def show_length(field: TextField, metres: float) -> None:
    """Show a length; untouched it stays exactly as it is."""
    field.show_text(words(metres, HEIGHT, LENGTHS), metres)


def show_speed(field: TextField, mps: float | None) -> None:
    """Show a speed; untouched it stays exactly as it is."""
    field.show_text(words(mps, SPEED, SPEEDS, 1), mps)


def length_field(label: str, tip: str, metres: float | None, low_m: float, high_m: float) -> TextField:
    """Return a field for a length [m]."""
    field = TextField(
        label,
        f"{tip}; {{height}}",
        bounded(label.lower(), LENGTHS, HEIGHT, low_m, high_m),
        example="100 ft",
    )
    if metres is not None:
        show_length(field, metres)
    return field


def speed_field() -> TextField:
    """Return a field for the speed along the figure [m/s]; None: not stated."""
    return TextField(
        "Speed",
        "Over the ground, along the figure; {speed}",
        bounded("speed", SPEEDS, SPEED, 0.1, 150.0),
        example="not said",
    )
