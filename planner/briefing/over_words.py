"""Who and what the path comes over, for the observer's list and for the walk before arming."""

from collections.abc import Iterator

import numpy as np

from planner.assessment import Assessment
from planner.briefing.words import plain
from planner.flight.below import OF_PEOPLE, Below
from planner.track.track import Track

_WATCHED = {
    Below.ROAD: "look for vehicles",
    Below.QUIET_ROAD: "look for vehicles",
    Below.TRAIL: "look for walkers",
    Below.GATHERING_PLACE: "look for people",
    Below.WIRE: "wire beneath",
    Below.BUILDING: "look for people outside",
    Below.RUNWAY: "look for traffic",
}
_ON_FOOT = {
    Below.ROAD: "nobody coming on",
    Below.QUIET_ROAD: "no vehicle on",
    Below.VEHICLES: "who stops the traffic on",
    Below.TRAIL: "nobody coming on",
    Below.GATHERING_PLACE: "nobody gathers at",
    Below.WIRE: "the wire:",
    Below.BUILDING: "nobody outside of",
}
_RANK, _PEOPLE_RANK = 84, 92
_SQUARE_DEG = 60.0


def crossing_moments(assessment: Assessment, track: Track) -> Iterator[tuple[int, str, int]]:
    """Yield sample, words and weight of each stretch over something to look out for."""
    under = assessment.flight.beneath if assessment.flight else None
    for cross in under.crossings if under else ():
        if under is None or not cross.overhead:
            continue
        thing = under.things[cross.thing]
        people = thing.below in OF_PEOPLE
        if not people and thing.below not in _WATCHED:
            continue
        sample = min(int(np.searchsorted(track.distance_m, cross.from_m)), len(track) - 1)
        how = ", square on" if cross.angle_deg is not None and cross.angle_deg >= _SQUARE_DEG else ""
        watch = "people beneath" if people else _WATCHED[thing.below]
        yield sample, f"over {plain(thing.called, 24)}{how}: {watch}", _PEOPLE_RANK if people else _RANK


def beneath_boxes(assessment: Assessment) -> list[str]:
    """Return what to look at on foot of all that is drawn or charted beneath, each once."""
    under = assessment.flight.beneath if assessment.flight else None
    if under is None:
        return []
    words: dict[str, None] = {}
    for cross in under.crossings:
        thing = under.things[cross.thing]
        if thing.below in OF_PEOPLE and thing.below is not Below.VEHICLES:
            words[f"{plain(thing.called, 30)}: all stand where they are drawn"] = None
        elif thing.below in _ON_FOOT:
            words[f"{_ON_FOOT[thing.below]} {plain(thing.called, 30)}"] = None
    return list(words)
