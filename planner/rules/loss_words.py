"""What an aircraft does on lost link, in words; a wing neither hovers nor comes down straight."""

from collections.abc import Mapping
from typing import Final

from planner.plan.aircraft import AircraftForm, LinkLossAction
from planner.plan.model import Plan
from planner.rules.stretches import Stretch
from planner.rules.words import along

_ONE_PLACE_M: Final = 0.5
"""Of less no two figures are said."""

_RETURNS: Final = {
    LinkLossAction.RETURN_FIXED: "returns to where it was armed, at a fixed height",
    LinkLossAction.RETURN_OFFSET: "climbs by an offset and returns to where it was armed",
    LinkLossAction.RETURN_HIGHEST: "returns to where it was armed, at the highest height flown so far",
}
_DOES: Final[Mapping[AircraftForm, Mapping[LinkLossAction, str]]] = {
    AircraftForm.ROTORCRAFT: _RETURNS
    | {
        LinkLossAction.DROP: "falls where it is",
        LinkLossAction.LAND: "lands where it is, on whatever is beneath",
        LinkLossAction.HOLD: "holds its place until its battery is empty, then falls",
    },
    AircraftForm.FIXED_WING: _RETURNS
    | {
        LinkLossAction.DROP: "stops its motor, and falls or glides",
        LinkLossAction.LAND: "glides down about where it is, onto whatever is beneath",
        LinkLossAction.HOLD: "circles about its place until its battery is empty, then comes down",
    },
}
_COMES_DOWN: Final[Mapping[AircraftForm, Mapping[LinkLossAction, str]]] = {
    AircraftForm.ROTORCRAFT: {
        LinkLossAction.DROP: "drops",
        LinkLossAction.LAND: "lands",
        LinkLossAction.HOLD: "holds until it is empty, then falls",
    },
    AircraftForm.FIXED_WING: {
        LinkLossAction.DROP: "falls or glides, and may come down",
        LinkLossAction.LAND: "glides down, and may come down",
        LinkLossAction.HOLD: "circles until it is empty, and may come down",
    },
}


def winged(plan: Plan) -> bool:
    """Whether the aircraft flies on a wing, so that it neither hovers nor comes down straight."""
    return plan.aircraft is not None and plan.aircraft.form is AircraftForm.FIXED_WING


def lost(stretch: Stretch) -> str:
    """Return where the link is lost, the beginning of a sentence: 'Lost from … to …', or at one place."""
    if stretch.to_m - stretch.from_m < _ONE_PLACE_M:
        return f"Lost at {along(stretch.from_m)}"
    return f"Lost from {along(stretch.from_m)} to {along(stretch.to_m)}"


def does(plan: Plan, action: LinkLossAction) -> str:
    """Return what it does, after 'the aircraft'."""
    words = _DOES[_form(plan)][action]
    return words if plan.return_point is None else words.replace("where it was armed", "the return point")


def comes_down(plan: Plan, action: LinkLossAction) -> str:
    """Return how an action that stays ends, before 'on' what is beneath."""
    return _COMES_DOWN[_form(plan)][action]


def _form(plan: Plan) -> AircraftForm:
    return AircraftForm.FIXED_WING if winged(plan) else AircraftForm.ROTORCRAFT
