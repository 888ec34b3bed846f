"""A click on a strip under the profile: to its finding there, or to the form that asks for what it lacks."""

from typing import TYPE_CHECKING, Final

from planner.desk.profile.flight_strips import not_checked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.assessment import Assessment
    from planner.desk.side_panel import SidePanel
    from planner.rules.finding import Finding

_RULES: Final = {
    "battery": frozenset(
        {"home-not-reached", "home-reached", "charge-not-reckoned", "cell-too-low", "cell-low"}
    ),
    "control": frozenset({"control-margin", "link-not-known", "band-not-open"}),
    "video": frozenset({"video-margin", "picture-lost-control-alive", "link-not-known", "band-not-open"}),
    "beneath": frozenset(
        {"fall-on-people", "drift-not-known", "reach-not-known", "people-near", "own-distance", "fall-zone"}
    ),
}
_OVER: Final = "over-"
_FORM_OF: Final = {
    "battery": "aircraft/capacity",
    "control link": "aircraft/radios",
    "video link": "aircraft/radios",
    "what is beneath": "beneath",
}
_NEAR_M: Final = 1.0


def answer(side: "SidePanel", assessment: "Assessment", strip: str, at_m: float) -> None:
    """Show in the panel at the side what belongs to a strip at a distance along the path [m]."""
    if strip == "others":
        lacking = next((name for name, _why in not_checked(assessment)), "")
        if lacking in _FORM_OF:
            side.go_to_form(_FORM_OF[lacking])
        return
    found = finding_of(side.findings.model.findings, strip, at_m)
    if found is not None:
        side.go_to("findings")
        side.findings.pick(found)


def finding_of(findings: "Sequence[Finding]", strip: str, at_m: float) -> "Finding | None":
    """Return the weightiest finding of a strip that covers a place, else its weightiest; None without any."""
    own = [one for one in findings if _is_of(one, strip)]
    covering = [one for one in own if _covers(one, at_m)]
    return next(iter(covering or own), None)


def _is_of(finding: "Finding", strip: str) -> bool:
    over = strip == "beneath" and finding.rule.startswith(_OVER)
    return over or finding.rule in _RULES.get(strip, frozenset())


def _covers(finding: "Finding", at_m: float) -> bool:
    if finding.from_m is None:
        return False
    end_m = finding.from_m if finding.to_m is None else finding.to_m
    return finding.from_m - _NEAR_M <= at_m <= end_m + _NEAR_M
