"""What the rules on height, on what stands in the way and on the ground say, in plain words."""

from collections.abc import Mapping
from typing import Final

HEIGHT_WORDS: Final[Mapping[str, str]] = {
    "above-height-limit": (
        "A small unmanned aircraft stays at or below 400 ft above the ground straight below it. "
        "Under Part 107 it may go higher within a 400-ft radius of a structure: up to 400 ft above "
        "that structure's top. A recreational flight has no such allowance; above 400 ft in Class G it "
        "takes the authority's prior authorization, as at fixed flying sites, which charts show as small "
        "blue circles with the site's limit. The limit moves with the ground: a level run off a cliff "
        "leaves it at the edge."
    ),
    "close-under-limit": (
        "Ground, records of structures and the readout are only known to so many feet. Under the "
        "limit by less than that, the flight may already be above it. So it is something to do, not"
        " a breach."
    ),
    "planned-over-never-exceed": (
        "Each leg has one figure, or a few, that the readout must never show more of: its lowest ceiling less"
        " what the readout may be off. A path drawn higher than that is under the ceiling, but nobody can fly"
        " it and keep to the figure. So it is something to do, not a breach."
    ),
    "into-ground": (
        "The path must clear the ground by more than the ground's height is uncertain. Bare-earth "
        "terrain knows no trees, wires or roofs: they come on top."
    ),
    "ground-not-known": (
        "The limit counts from the ground. Where its height is not known there is no limit to judge"
        " by: not known is never taken for zero."
    ),
    "structure-allowance": (
        "Under Part 107, within a 400-ft radius of a structure, the limit is 400 ft above its "
        "immediate uppermost limit. The accuracy of its record is taken off radius and top, and it "
        "counts only if you say that it still stands; of several structures in one record, that the highest "
        "of them stands just where the record says. It does not carry over into controlled "
        "airspace, where the authority decides."
    ),
    "close-to-allowance-end": (
        "The higher limit about a structure ends at its radius at once. Within 20 m of it (own choice) a"
        " gust or a wide turn carries the aircraft to where it is too high."
    ),
    "close-beside-airspace": (
        "A path on a chart is a line without width; an aircraft flown by hand is not, and an outline is"
        " only charted so well. Within 20 m of an edge (own choice) it may well be on the other side. Within"
        " 8 m, which a satellite fix alone may be off, the answer is open, as where data end there, unless a"
        " record lets the flight in at its height. What an action on lost link passes or comes down beside,"
        " from an area ahead of its edge, is held against it as the path is."
    ),
    "close-to-record-end": (
        "A permission holds as far as its outline, and no aircraft is where it is planned to a step. Within"
        " 20 m (own choice) of where it ends the flight may well be beyond; within 8 m, which a satellite fix"
        " alone may be off, the answer is open where closed airspace lies beyond. A record ends, too, where"
        " only one for a lesser height goes on. A way on lost link, home or down where it is, is held against"
        " it as the path is."
    ),
    "no-data-beside": (
        "Where data on airspace end, an airspace may begin that nobody has told. Within 20 m of the flight "
        "(own choice) that is something to do, as an airspace that near would be; within 8 m, which a "
        "satellite fix alone may be off, nobody can say which airspace the flight is in: the answer is open. "
        "What lands, falls or holds on lost link, ahead of an area's edge as well, counts as flown there."
    ),
    "close-over-airspace": (
        "Over the top of an airspace one is out of it, but terrain and readout are only known so well. Within"
        " that the aircraft may be inside. A top above ground counts from the highest ground that the"
        " terrain's own error leaves possible."
    ),
    "structure-in-the-way": (
        "A record of a structure is also a thing to hit. The path leads through its place below its"
        " top. Records know nothing of wires, guys and cranes put up since."
    ),
    "structure-close": (
        "A record may be off by as much as it says, sideways and in height, and an aircraft may fly beside "
        "its planned path by 7 m (satellites, holding a place and the map). Within that nobody at the desk "
        "can say that the path clears the structure: look on the spot."
    ),
    "structure-of-unknown-height": (
        "The path leads through the place of a structure whose height no record tells. Not known is"
        " never taken for low."
    ),
    "structures-in-area": (
        "A flying area is judged as a volume, and these structures stand in it, or as near as records "
        "and aircraft may be off. Where you fly in it"
        " is yours to decide: know where they and their wires are."
    ),
    "way-not-drawn": (
        "Only what is drawn is judged, but the aircraft also flies from where it takes off to the "
        "path and back. That way is looked at as if it were straight; where that meets something, is higher "
        "than the limit there (a structure raises it only within its radius), "
        "or is too far to be a fair guess, it has to be drawn. Airspace on it that wants an authorization is "
        "asked for as that of the path; what is closed leaves the answer open. A permission on record opens "
        "airspace on it as far and as high as it says. Where the path begins straight above the launch "
        "point, what is closed or too high between is looked at, too."
    ),
    "readout-error-not-given": (
        "What the goggles show may be some metres off: a barometer drifts with weather and warmth, a"
        " satellite fix is coarser in height than in place. That decides how close is too close."
    ),
    "terrain-kind": (
        "The limit counts from the ground. A surface model holds roofs and treetops as if they were"
        " ground, and so makes the limit look higher than it is."
    ),
    "terrain-unit": (
        "A raster of heights may count in metres or feet. One that does not say is taken as metres; were"
        " it feet, ground and limit would stand three times too high."
    ),
    "terrain-accuracy-assumed": (
        "How far the terrain may be off decides how close to the limit is too close. Its file does "
        "not say, so common figures are assumed."
    ),
    "ground-falls-too-fast": (
        "A leg that follows the ground sinks no faster than the aircraft can. Off a cliff it is still as "
        "high as before, while the ground and the ceiling with it have fallen. A straight leg is flown as it "
        "is drawn, unless the rate of descent that is given says otherwise: then the answer is open. A dive "
        "put in as a figure is the pilot's plain word. Where neither leg nor aircraft has a speed, what "
        "rests on the one assumed is open, too."
    ),
    "ground-rises-too-fast": (
        "A leg that follows the ground goes up a wall as steeply as the wall is. An aircraft at speed climbs "
        "no faster than its rate, and flies into what it can't clear. Without a rate nothing steeper than 45 "
        "degrees (own choice) is taken to be followed, up or down, and the answer is open; so it is where "
        "neither leg nor aircraft has a speed, unless it meets the ground at any."
    ),
    "at-the-antimeridian": (
        "Where longitude jumps from 180 to -180 some publishers cut their outlines and some do not. "
        "A restriction across that line might not be seen, so nothing so near to it is called ready."
    ),
    "terrain-contradicts": (
        "A quarry, a heap or a new survey changes the ground. Where two rasters of your charts tell quite "
        "different heights, every height above ground is off by that if the wrong one counts. Where that is "
        "beneath the flight or within 30 m of it (own choice) the answer is open. A raster of treetops and "
        "roofs lies above one of the bare ground, never under it; one that does not say what it is may be "
        "either. So of two kinds only what lies on the wrong side contradicts."
    ),
    "terrain-datum": (
        "Heights above sea level count from a zero that each survey names. Where terrain counts "
        "from another zero than airspace and structures do, heights of the two can't be compared to"
        " the foot."
    ),
}
