"""Which waivers on record lift a limit of the flight in the plan's time, place and height."""

from planner.permission.records import in_order
from planner.permission.waivers import waives
from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.waiver_reach import Spans, leaves_waiver


def waived(case: Case, section: str, paragraph: str = "", spans: Spans | None = None) -> bool:
    """Whether a waiver of a section is on record for all of the flight; never for a recreational flight.

    `spans` are parts of the path, from and to [m along], if the section binds on them alone.
    """
    plan = case.plan
    return plan.purpose is Purpose.PART_107 and any(
        waives(record, section, paragraph)
        and (plan.window is None or plan.window.within(record.valid_from_utc, record.valid_to_utc))
        and leaves_waiver(case, record, spans).record is None
        for record in plan.permissions
    )


def speed_waived(case: Case) -> bool:
    """Return whether a record waives the limit of speed for the flight."""
    return waived(case, "107.51", "(a)")


def weather_waived(case: Case, paragraph: str) -> bool:
    """Return whether a record waives a paragraph of 14 CFR 107.51 on weather ("c" or "d")."""
    return waived(case, "107.51", f"({paragraph})")


def waives_sight(case: Case) -> bool:
    """Whether a waiver of 14 CFR 107.31 is on record for all of the flight."""
    return waived(case, "107.31")


def or_waiver(case: Case, section: str, *paragraphs: str) -> str:
    """Return ', or …' by which waiver a rule can be lifted: one on record that falls short, if any.

    '' where waivers on record lift it all.
    """
    lacking = [one for one in paragraphs or ("",) if not waived(case, section, one)]
    if not lacking:
        return ""
    for record in in_order(case.plan.permissions):
        if any(waives(record, section, one) for one in lacking):
            kept = "time, place and height" if leaves_waiver(case, record).record else "time"
            by = f"waiver {record.reference}, or have it extended and record that"
            return f", or fly within the {kept} of {by}"
    return f", or record a waiver of 14 CFR {section}{' and '.join(lacking)}"
