"""What nobody can judge of a battery without the temperature, as a line of what is not checked."""

from planner.rules.case import Case


def air_unjudged(case: Case) -> tuple[str, ...]:
    """Return that the pack is taken for warm, where its charge is reckoned and no temperature is given."""
    flight = case.flight or case.area_flight
    if flight is None or flight.charge is None or flight.weather.launch_c is not None:
        return ()
    return (
        "temperature: not given; the battery is reckoned at its full capacity, and in the cold it gives far "
        "less: type the lowest of the flight's hours",
    )
