"""What to look for on foot before arming: people, roads, the spectators' line, wires."""

from planner.assessment import Assessment
from planner.briefing.figure_words import figure_boxes
from planner.briefing.moments import nearest
from planner.briefing.over_words import beneath_boxes
from planner.briefing.words import plain
from planner.plan.crew import Role

_NEAR_M = 250.0
_MOST_STRUCTURES = 2


def on_foot_boxes(assessment: Assessment) -> list[str]:
    """Return what to look for, the most telling first."""
    plan = assessment.plan
    own = plan.sheet.on_foot if plan.sheet else ""
    return [
        *([plain(own, 90)] if own.strip() else []),
        *_structures(assessment),
        *beneath_boxes(assessment),
        *figure_boxes(assessment),
        "wires, poles and trees along the whole path: charts show few",
        "nobody beneath the path or where it may come down",
        _spectators(assessment),
        "roads and trails that no chart shows: nobody coming",
    ]


def _structures(assessment: Assessment) -> list[str]:
    track = assessment.track
    if track is None:
        return []
    near = []
    for structure in assessment.world.structures:
        if not structure.dismantled:
            apart_m = nearest(track, structure.place)[1]
            near.append((apart_m, plain(structure.name or structure.kind.lower(), 24)))
    return [
        f"{name} still stands; its guy wires, {apart_m:.0f} m off the path"
        for apart_m, name in sorted(near)[:_MOST_STRUCTURES]
        if apart_m <= _NEAR_M
    ]


def _spectators(assessment: Assessment) -> str:
    count = len(assessment.plan.crew_in(Role.SPECTATOR))
    line = f"{count} spectators behind their line" if count > 1 else "spectators behind their line"
    return "the one spectator behind the line" if count == 1 else line
