"""Which waivers on record lift a limit of the flight in the plan's time."""

from planner.permission.records import in_time, waives_speed, waives_weather
from planner.rules.case import Case


def speed_waived(case: Case) -> bool:
    """Return whether a record waives the limit of speed for the plan's window."""
    return any(waives_speed(one) and in_time(one, case.plan.window) for one in case.plan.permissions)


def weather_waived(case: Case, paragraph: str) -> bool:
    """Return whether a record waives a paragraph of 14 CFR 107.51 on weather ("c" or "d")."""
    records = case.plan.permissions
    return any(waives_weather(one, paragraph) and in_time(one, case.plan.window) for one in records)
