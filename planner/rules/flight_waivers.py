"""Which waivers on record lift a limit of the flight in the plan's time."""

from planner.permission.waivers import waived
from planner.rules.case import Case


def speed_waived(case: Case) -> bool:
    """Return whether a record waives the limit of speed for the plan's window."""
    return waived(case.plan, "107.51", "(a)")


def weather_waived(case: Case, paragraph: str) -> bool:
    """Return whether a record waives a paragraph of 14 CFR 107.51 on weather ("c" or "d")."""
    return waived(case.plan, "107.51", f"({paragraph})")
