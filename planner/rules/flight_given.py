"""Which inputs of the flight were answered, so that only the others are printed as not checked."""

from planner.flight.links import LinkSpec
from planner.rules import unknowns
from planner.rules.beneath_axis import people_given
from planner.rules.case import Case
from planner.rules.channels import channels_given


def flight_given(case: Case) -> frozenset[str]:
    """Return the inputs that the flight was reckoned with, by their rows in the table of unknowns."""
    flight = case.flight
    said = {
        unknowns.PEOPLE: people_given(case),
        unknowns.OTHER_PILOTS: channels_given(case.plan),
    }
    of_plan = frozenset(what for what, known in said.items() if known)
    if flight is None:
        return of_plan
    weather = flight.weather
    aircraft = case.plan.aircraft
    specs = [LinkSpec.of(radio) for radio in aircraft.radios] if aircraft else []
    linked = bool(specs) and len(flight.links) == len(specs)
    answered = {
        unknowns.WIND: weather.wind is not None,
        unknowns.CLOUD: not weather.cloud_unknown,
        unknowns.BATTERY: flight.charge is not None,
        unknowns.LINKS: linked,
        unknowns.LINK_LOSS: flight.loss is not None,
    }
    return of_plan | {what for what, known in answered.items() if known}
