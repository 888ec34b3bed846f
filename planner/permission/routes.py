"""By which route a height in an airspace can be had, for a purpose.

Sources: 14 CFR 107.41; 49 USC 44809(a)(5), (c); JO 7210.3 ch. 12 §§9-10.
"""

import attrs

from planner.permission.need import Route
from planner.plan.model import Purpose
from planner.units import GROUND_LIMIT_M

TOLERANCE_M = 1e-6

LEAD_TIMES = {
    Route.AUTOMATED: "usually answered at once by common practice, better a day ahead",
    Route.FURTHER_COORDINATION: (
        "at most 90 days ahead, at least 72 hours by secondary sources, "
        "at least 60 days through the manual portal"
    ),
    Route.ASK_AUTHORITY: "at least 60 days ahead where the manual portal is used",
    Route.FIXED_SITE: "agreed in writing with the air traffic facility beforehand, no published time",
    Route.AGENCY: "set by the using or controlling agency",
    Route.HEADQUARTERS: "coordinated by the authority's headquarters; allow at least 90 days",
    Route.WAIVER: "allow at least 90 days, common practice",
    Route.SITE_AUTHORIZATION: "no published time: ask the authority together with whoever runs the site",
    Route.LANDOWNER: "before you leave home",
    Route.NONE: "",
}


@attrs.frozen
class Circumstances:
    """What decides the route in controlled airspace.

    Parameters
    ----------
    purpose : under which rules the flight takes place, None if not said.
    asked_agl_m : greatest planned height above ground there [m], None if unknown.
    cell_agl_m : lowest facility map value touched [m AGL], None if none is known.
    automated : whether the automated service answers for all cells touched.
    in_fixed_site : whether all of the flight there lies in a fixed flying site.
    """

    purpose: Purpose | None
    asked_agl_m: float | None
    cell_agl_m: float | None
    automated: bool
    in_fixed_site: bool = False


def route_in_controlled(at: Circumstances) -> tuple[Route, tuple[Route, ...]]:
    """Return the nearest route and the alternatives open to the purpose."""
    if _automated_will_do(at):
        others = (Route.FIXED_SITE,) if at.in_fixed_site and at.purpose is not Purpose.PART_107 else ()
        return Route.AUTOMATED, others
    if at.purpose is Purpose.RECREATIONAL:
        if at.in_fixed_site:
            return Route.FIXED_SITE, (Route.ASK_AUTHORITY,)
        return Route.ASK_AUTHORITY, (Route.FIXED_SITE,)
    if at.asked_agl_m is not None and at.asked_agl_m > GROUND_LIMIT_M + TOLERANCE_M:
        return Route.HEADQUARTERS, ()
    return Route.FURTHER_COORDINATION, ()


def _automated_will_do(at: Circumstances) -> bool:
    if at.cell_agl_m is None or at.cell_agl_m <= 0 or not at.automated or at.asked_agl_m is None:
        return False
    return at.asked_agl_m <= at.cell_agl_m + TOLERANCE_M


def requestable_agl_m(purpose: Purpose | None, cell_agl_m: float | None, automated: bool) -> float | None:
    """Return what any open route could still give in controlled airspace [m AGL], None if not known.

    Part 107: 400 ft by further coordination, whatever the cell says (above
    that only headquarters coordinates). Recreational: the lowest cell value
    through the automated service; what else may be had is not published.
    """
    if purpose is Purpose.PART_107:
        return GROUND_LIMIT_M
    return cell_agl_m if automated else None
