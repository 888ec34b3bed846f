"""What the aircraft does by itself when the link drops: fields of the aircraft's form."""

from collections.abc import Mapping
from typing import Any, Final

from planner.desk.forms.specs import FieldSpec, quantity
from planner.desk.quantities import CLIMBS, HEIGHT, LENGTHS, SPEED, SPEEDS, TIMES
from planner.desk.words import LINK_LOSS_WORDS, YES_NO_WORDS
from planner.geo.heights import AboveLaunch, Height
from planner.plan import bounds
from planner.plan.aircraft import LinkLoss

LINK_LOSS_FIELDS: Final = (
    FieldSpec(
        "link_loss",
        "When the link drops",
        "What it does by itself; it is followed from all along the path",
        choices=LINK_LOSS_WORDS,
    ),
    quantity(
        "link_delay",
        "After",
        "Delay, seconds; so long it flies on without you",
        TIMES,
        "s",
        1,
        bounds=bounds.DELAY,
        example="1.5 s",
    ),
    quantity(
        "link_height",
        "At height above launch",
        "Height or offset it then uses; {height}",
        LENGTHS,
        HEIGHT,
        1,
        example="100 ft",
    ),
    quantity(
        "link_speed",
        "Return: airspeed",
        "Through the air; {speed}. More wind keeps it from home",
        SPEEDS,
        SPEED,
        1,
        bounds=bounds.SPEED,
        example="20 kt",
    ),
    quantity(
        "link_climb",
        "Return: rate of climb",
        "m/s unless you type ft/min. The way takes longer by it",
        CLIMBS,
        "m/s",
        1,
        bounds=bounds.SPEED,
        example="3 m/s",
    ),
    quantity(
        "link_descent",
        "Then: rate of descent",
        "m/s unless you type ft/min. The landing takes longer by it",
        CLIMBS,
        "m/s",
        1,
        bounds=bounds.SPEED,
        example="2 m/s",
    ),
    quantity(
        "link_clear",
        "Return: clear by",
        "What you want over ground and structures; {height}. 33 ft if not said",
        LENGTHS,
        HEIGHT,
        1,
        bounds=bounds.CLEARANCE,
        example="33 ft",
    ),
    FieldSpec(
        "link_fix",
        "Needs a satellite fix",
        "Whether it does something else without one: then take off only with one",
        choices=YES_NO_WORDS,
    ),
    FieldSpec(
        "link_compass",
        "Needs a compass",
        "Whether it does something else without one: iron near the launch spoils it",
        choices=YES_NO_WORDS,
    ),
)

_FIELD_OF: Final = {
    "action": "link_loss",
    "delay_s": "link_delay",
    "speed_mps": "link_speed",
    "climb_mps": "link_climb",
    "descent_mps": "link_descent",
    "clear_by_m": "link_clear",
    "needs_fix": "link_fix",
    "needs_compass": "link_compass",
}


def link_loss_values(loss: LinkLoss | None) -> dict[str, Any]:
    """Return each field's value for what an aircraft does."""
    values = {key: loss and getattr(loss, name) for name, key in _FIELD_OF.items()}
    return {**values, "link_height": loss.height.m if loss and loss.height else None}


def link_loss_of(values: Mapping[str, Any], before: LinkLoss | None) -> LinkLoss | None:
    """Return what the fields say; None until they say what it does.

    Raises
    ------
    FieldError
        If a value is none that can be.
    """
    if values["link_loss"] is None:
        return None
    said = {name: values[key] for name, key in _FIELD_OF.items()}
    return LinkLoss(height=_height(values["link_height"], before), **said)


def _height(metres: float | None, before: LinkLoss | None) -> Height | None:
    if metres is None:
        return None
    kind = type(before.height) if before and before.height else AboveLaunch
    return kind(metres)
