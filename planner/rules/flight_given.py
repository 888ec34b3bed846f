"""Which inputs of the flight were answered, so that only the others are printed as not checked."""

from planner.flight.links import LinkSpec
from planner.rules import unknowns
from planner.rules.beneath_axis import people_given
from planner.rules.case import Case
from planner.rules.channels import channels_given


def flight_given(case: Case) -> frozenset[str]:
    """Return the inputs that the flight was reckoned with, by their rows in the table of unknowns."""
    flight, in_area = case.flight, case.area_flight
    answered = {
        unknowns.PEOPLE: people_given(case),
        unknowns.OTHER_PILOTS: channels_given(case.plan),
        unknowns.CLOUD: case.weather is not None and not case.weather.cloud_unknown,
    }
    if flight is None and in_area is not None:
        # What is given and not judged for an area is a finding (`rules.area_links`), and not "not given".
        aircraft = case.plan.aircraft
        radios = len(aircraft.radios) if aircraft else 0
        answered |= {
            unknowns.WIND: in_area.weather.wind is not None and in_area.airspeed_mps is not None,
            unknowns.BATTERY: in_area.charge is not None,
            unknowns.LINKS: bool(in_area.links) and len(in_area.links) == radios,
            unknowns.LINK_LOSS: bool(aircraft and aircraft.link_loss),
        }
    if flight is not None:
        aircraft = case.plan.aircraft
        specs = [LinkSpec.of(radio) for radio in aircraft.radios] if aircraft else []
        answered |= {
            unknowns.WIND: flight.weather.wind is not None and flight.airspeed_given,
            unknowns.BATTERY: flight.charge is not None,
            unknowns.LINKS: bool(specs) and len(flight.links) == len(specs),
            unknowns.LINK_LOSS: flight.loss is not None,
        }
    # One that is given and not known is a finding, and not "not given".
    answered[unknowns.WIND] = bool(case.weather and case.weather.lost_winds) or answered.get(
        unknowns.WIND, False
    )
    return frozenset(what for what, known in answered.items() if known)
