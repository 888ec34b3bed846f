"""Where in the desk a finding can be cured."""

from typing import Final

from planner.desk.fixing.kinds import FixKind
from planner.rules.finding import Finding

PERMISSIONS, POINTS, DRAW_PATH = "permissions", "points", "draw-path"

_OF_RULE: Final = {
    "nothing-drawn": DRAW_PATH,
    "no-purpose": "purpose",
    "no-guidelines": "purpose",
    "no-window": "window",
    "no-launch": "land",
    "no-aircraft": "aircraft",
    "notices-not-checked": "notices",
    "notices-too-old": "notices",
    "notices-after-start": "notices",
    "paid-flight": "purpose",
    "not-registered": "aircraft",
    "registration-ended": "papers",
    "marking-and-proof": "papers",
    "remote-id-not-said": "aircraft",
    "no-remote-id": "aircraft",
    "safety-test": "papers",
    "no-certificate": "papers",
    "training-not-said": "papers",
    "training-lapsed": "papers",
    "training-not-yet": "papers",
    "not-category-1": "aircraft",
    "no-observer": "crew",
    "no-pilot-named": "crew",
    "observer-not-placed": "crew",
    "observer-contact": "crew",
    "observer-not-beside": "crew",
    "observer-stands-apart": "crew",
    "flyer-not-placed": "crew",
    "tasks-not-shared": "crew",
    "both-tasks-at-once": "crew",
    "distance-not-tried": "crew",
    "not-tried-by-dark": "crew",
    "tried-in-other-light": "crew",
    "area-not-tried": "crew",
    "range-tried-long-ago": "crew",
    "no-visibility": "sight",
    "visibility-too-low": "sight",
    "against-the-sun": "window",
    "area-against-the-sun": "window",
    "area-sun": "window",
    "no-light-by-dark": "aircraft",
    "lights-by-dark": "aircraft",
    "land-not-settled": "land",
    "structure-allowance": "structures",
    "guy-wires": "structures",
    "area-without-top": "area",
    "area-above-limit": "area",
    "area-close-under-limit": "area",
    "airspace-authorization": PERMISSIONS,
    "closed-airspace": PERMISSIONS,
    "class-e-extension": PERMISSIONS,
    "permission-on-record": PERMISSIONS,
    "no-facility-map-value": PERMISSIONS,
    "above-height-limit": POINTS,
    "close-under-limit": POINTS,
    "into-ground": POINTS,
    "structure-in-the-way": POINTS,
    "structure-of-unknown-height": POINTS,
    "site-ends-at-class-e": POINTS,
    "speed-limit": POINTS,
    "weight-limit": "aircraft",
    "visibility-below-guidance": "sight",
    "visibility-against-report": "sight",
    "cloud-too-near": "weather/cloud",
    "cloud-against-report": "weather/cloud",
    "weather-report": "weather/metar",
    "wind-against-report": "weather/wind",
    "wind-not-compared": "aircraft/highest_speed",
    "way-not-held": "weather/wind",
    "way-not-held-in-gusts": "weather/wind",
    "leg-slower-than-planned": POINTS,
    "flight-time": "aircraft/cruise_speed",
    "home-reached": "aircraft/reserve",
    "home-not-reached": "aircraft/reserve",
    "cell-too-low": "aircraft/capacity",
    "cell-low": "aircraft/capacity",
    "link-figures-missing": "aircraft/radios",
    "control-margin": "aircraft/radios",
    "video-margin": "aircraft/radios",
    "band-not-open": "aircraft/radios",
    "own-channel-not-said": "aircraft/radios",
    "channels-apart": "pilots",
    "channels-clash": "pilots",
    "over-people": "beneath",
    "own-distance": "beneath",
    "people-near": "beneath",
    "people-in-area": "beneath",
    "fall-on-people": "beneath",
    "cover-without-height": "beneath",
    "from-moving-vehicle": "beneath",
    "link-loss-on-people": "aircraft/link_loss",
    "link-loss-too-low": "aircraft/link_height",
    "link-loss-above-ceiling": "aircraft/link_height",
    "link-loss-blown-away": "weather/wind",
    "link-loss-not-known": "aircraft/link_loss",
    "link-loss-action": "aircraft/link_loss",
    "way-not-drawn": DRAW_PATH,
    "path-of-one-point": DRAW_PATH,
    "area-without-room": "area",
}


def cure_of(finding: Finding) -> str:
    """Return the form's section, or one of the places named above; '' where the map is all there is."""
    return _OF_RULE.get(finding.rule, "beneath" if finding.rule.startswith("over-") else "")


_FIX_OF_RULE: Final = {
    "above-height-limit": FixKind.LEAST,
    "close-under-limit": FixKind.LOWER,
    "closed-airspace": FixKind.BEND,
    "area-above-limit": FixKind.AREA,
    "area-close-under-limit": FixKind.AREA,
}


def fix_of(finding: Finding) -> FixKind | None:
    """Return the change that would cure a finding, None where the desk knows none."""
    return _FIX_OF_RULE.get(finding.rule)
