"""The sources the rules cite, each named once.

Texts read in November 2026; edition dates where they are known. The program
prints these as pointers, never in place of the current rule.
"""

from collections.abc import Collection
from typing import Final

from planner.plan.model import Purpose
from planner.world.airspace import NEEDS_INQUIRY, AirspaceKind

PART_107_HEIGHT: Final = "14 CFR 107.51(b)"
RECREATIONAL_HEIGHT: Final = "49 USC 44809(a)(6), as amended 16 May 2024"
PART_107_AIRSPACE: Final = "14 CFR 107.41"
RECREATIONAL_AIRSPACE: Final = "49 USC 44809(a)(5)"
FIXED_SITES: Final = "49 USC 44809(c), as amended 16 May 2024"
FACILITY_MAP: Final = "FAA JO 7210.3 ch. 12 §10"
FURTHER_COORDINATION: Final = "FAA JO 7210.3 ch. 12 §9"
CLOSED_AIRSPACE: Final = "14 CFR 107.45; 14 CFR part 73; 14 CFR 99.7"
CLASS_E_EXTENSIONS: Final = "FAA memorandum of 2018 on Class E extensions against AIM 3-2-6"
CLASS_E_RECREATIONAL: Final = (
    "49 USC 44809(a)(6), (a)(5), as amended 16 May 2024; summary of H.R. 6460 on Class E (secondary source)"
)
PART_107_SIGHT: Final = "14 CFR 107.31, 107.33"
PART_107_ABLE: Final = "14 CFR 107.31(a)"
BROADCAST_MODULE_SIGHT: Final = "14 CFR 89.115(a), as read in secondary texts"
PART_107_VISIBILITY: Final = "14 CFR 107.51(c)"
PART_107_LIGHTS: Final = "14 CFR 107.29"
PART_107_CREW: Final = "14 CFR 107.33"
RECREATIONAL_SIGHT: Final = "49 USC 44809(a)(3)"
RECREATIONAL_GUIDELINES: Final = "49 USC 44809(a)(2)"
PART_107_GIVES_WAY: Final = "14 CFR 107.37(a)"
RECREATIONAL_GIVES_WAY: Final = "49 USC 44809(a)(4)"
NEAR_AIRPORTS: Final = "107.43"
PREFLIGHT: Final = "14 CFR 107.49(a)"
RECREATIONAL_RESTRICTIONS: Final = "49 USC 44809(a)(6)"
PARK_LANDS: Final = "36 CFR 1.5"
FIXED_SITES_ON_CHARTS: Final = "FAA AIM 11-4-1 (edition of 20 Apr 2023)"
WAIVERS: Final = "14 CFR 107.200, 107.205"
OPERATING_RULES: Final = "14 CFR part 107; 49 USC 44809"
SPEED_LIMIT: Final = "14 CFR 107.51(a)"
CLOUD_AND_VISIBILITY: Final = "14 CFR 107.51(c), (d)"
GUIDANCE_ON_WEATHER: Final = "community guidance; 49 USC 44809 names no figure"
OVER_PEOPLE: Final = "14 CFR 107.39, 107.110 to 107.140"
OVER_VEHICLES: Final = "14 CFR 107.39, 107.145"
FROM_A_VEHICLE: Final = "14 CFR 107.25"
TERRAIN_CLEARANCE: Final = "common practice"


_RESTRICTING: Final = {
    AirspaceKind.PROHIBITED: "14 CFR part 73",
    AirspaceKind.RESTRICTED: "14 CFR part 73",
    AirspaceKind.SECURITY: "14 CFR 99.7",
    AirspaceKind.STADIUM: "14 CFR 91.145, 99.7",
    AirspaceKind.TEMPORARY: "14 CFR 91.137 to 91.145, 99.7",
    AirspaceKind.ZONE_PROHIBITED: "the zone as its authority publishes it",
    AirspaceKind.ZONE_PERMISSION: "the zone as its authority publishes it",
}
_IN_PART_73: Final = frozenset({AirspaceKind.PROHIBITED, AirspaceKind.RESTRICTED})
_BY_NOTICE: Final = frozenset({AirspaceKind.SECURITY, AirspaceKind.STADIUM, AirspaceKind.TEMPORARY})


def closed_rule(purpose: Purpose | None, kinds: Collection[AirspaceKind]) -> str:
    """Return the citation for airspace of those kinds that is closed to a purpose.

    14 CFR 107.47 on what a notice closes is from memory.
    """
    texts = []
    if purpose is not Purpose.RECREATIONAL:
        texts += ["14 CFR 107.45"] if _IN_PART_73 & set(kinds) else []
        texts += ["14 CFR 107.47"] if _BY_NOTICE & set(kinds) else []
    if purpose is not Purpose.PART_107:
        texts.append(RECREATIONAL_RESTRICTIONS)
    texts += sorted({_RESTRICTING[kind] for kind in kinds if kind in _RESTRICTING})
    return "; ".join(texts) or CLOSED_AIRSPACE


def inquiry_rule(kind: AirspaceKind) -> str:
    """Return the citation for Class E of which only the authority can say whether it may be entered."""
    return CLASS_E_EXTENSIONS if kind in NEEDS_INQUIRY else CLASS_E_RECREATIONAL


def height_rule(purpose: Purpose | None) -> str:
    """Return the citation for the height limit of a purpose."""
    if purpose is Purpose.PART_107:
        return PART_107_HEIGHT
    if purpose is Purpose.RECREATIONAL:
        return RECREATIONAL_HEIGHT
    return f"{PART_107_HEIGHT}; {RECREATIONAL_HEIGHT}"


def airspace_rule(purpose: Purpose | None) -> str:
    """Return the citation for controlled airspace of a purpose."""
    if purpose is Purpose.PART_107:
        return PART_107_AIRSPACE
    if purpose is Purpose.RECREATIONAL:
        return RECREATIONAL_AIRSPACE
    return f"{PART_107_AIRSPACE}; {RECREATIONAL_AIRSPACE}"


def give_way_rule(purpose: Purpose | None) -> str:
    """Return the citation for giving way to other aircraft."""
    if purpose is Purpose.PART_107:
        return PART_107_GIVES_WAY
    if purpose is Purpose.RECREATIONAL:
        return RECREATIONAL_GIVES_WAY
    return f"{PART_107_GIVES_WAY}; {RECREATIONAL_GIVES_WAY}"


def notices_rule(purpose: Purpose | None) -> str:
    """Return the citation for looking up notices and restrictions."""
    return RECREATIONAL_RESTRICTIONS if purpose is Purpose.RECREATIONAL else PREFLIGHT


def sight_rule(purpose: Purpose | None) -> str:
    """Return the citation for the visual observer."""
    if purpose is Purpose.PART_107:
        return PART_107_SIGHT
    if purpose is Purpose.RECREATIONAL:
        return RECREATIONAL_SIGHT
    return f"{PART_107_SIGHT}; {RECREATIONAL_SIGHT}"
