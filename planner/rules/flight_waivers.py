"""Which waivers on record lift a limit of the flight in the plan's time."""

from planner.permission.records import in_order
from planner.permission.waivers import waived, waives
from planner.plan.model import Plan
from planner.rules.case import Case


def speed_waived(case: Case) -> bool:
    """Return whether a record waives the limit of speed for the plan's window."""
    return waived(case.plan, "107.51", "(a)")


def weather_waived(case: Case, paragraph: str) -> bool:
    """Return whether a record waives a paragraph of 14 CFR 107.51 on weather ("c" or "d")."""
    return waived(case.plan, "107.51", f"({paragraph})")


def or_waiver(plan: Plan, section: str, *paragraphs: str) -> str:
    """Return ', or …' by which waiver a rule can be lifted: one on record that holds at another time, if any.

    '' where waivers on record lift it all.
    """
    lacking = [one for one in paragraphs or ("",) if not waived(plan, section, one)]
    if not lacking:
        return ""
    for record in in_order(plan.permissions):
        if any(waives(record, section, one) for one in lacking):
            return (
                f", or fly within the time of waiver {record.reference}, or have it extended and record that"
            )
    return f", or record a waiver of 14 CFR {section}{' and '.join(lacking)}"
