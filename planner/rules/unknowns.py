"""The table of unknowns: what the absence of a layer or input means, and why.

*Restricting*: its absence leaves the answer open, so the plan can't be ready.
*Granting*: its absence grants nothing. *Advisory*: its absence is printed as
not checked.
"""

from collections.abc import Collection
from enum import StrEnum
from typing import Final

import attrs

from planner.world.layers import LayerName


class Weight(StrEnum):
    """What the absence of a layer or input means."""

    RESTRICTING = "restricting"
    GRANTING = "granting"
    ADVISORY = "advisory"


@attrs.frozen
class Unknown:
    """One row: a layer (None for an input of the plan), its weight, the reason.

    A layer that is not `everywhere` is published by some authorities only:
    that it is not given at all leaves nothing open. `source` says where
    restricting data is to be had. `when_given` says what stays unknown
    once an input is given; '' where nothing does. What is `closing` is no more
    than advisory while it is not given, but closes: given and not to be read,
    it leaves the answer open.
    """

    layer: LayerName | None
    what: str
    weight: Weight
    reason: str
    everywhere: bool = True
    source: str = "its publisher"
    when_given: str = ""
    closing: bool = False


WIND: Final = "wind"
CLOUD: Final = "cloud"
BATTERY: Final = "battery and way home"
LINKS: Final = "radio links"
LINK_LOSS: Final = "loss of the control link"
PEOPLE: Final = "people"
OTHER_PILOTS: Final = "other pilots' channels"

TABLE: tuple[Unknown, ...] = (
    Unknown(
        LayerName.TERRAIN,
        "terrain",
        Weight.RESTRICTING,
        "without ground no height can be judged",
        source="a survey's bare-earth elevation model",
    ),
    Unknown(
        LayerName.CLASS_AIRSPACE,
        "class airspace",
        Weight.RESTRICTING,
        "without it nobody can say whose airspace it is",
        source="the aviation authority's class airspace data of the current cycle",
    ),
    Unknown(
        LayerName.FACILITY_MAP,
        "facility map",
        Weight.RESTRICTING,
        "inside controlled airspace it says what can be asked for; outside it is not needed",
        source="the aviation authority's facility map data of the current edition",
    ),
    Unknown(
        LayerName.SPECIAL_USE,
        "prohibited and restricted areas",
        Weight.RESTRICTING,
        "flying into one is forbidden while it is active",
        source="the aviation authority's special use airspace data of the current cycle",
    ),
    Unknown(
        LayerName.SECURITY,
        "standing security restrictions",
        Weight.RESTRICTING,
        "flying into one is forbidden",
        source="the aviation authority's security restrictions for unmanned aircraft",
    ),
    Unknown(
        LayerName.UAS_ZONES,
        "zones for unmanned aircraft",
        Weight.RESTRICTING,
        "where an authority publishes them, flying into one is forbidden or bound to conditions",
        everywhere=False,
        source="the state's publication of zones for unmanned aircraft",
    ),
    Unknown(None, "notices", Weight.RESTRICTING, "temporary restrictions are only published there"),
    Unknown(
        LayerName.OBSTACLES,
        "structures",
        Weight.GRANTING,
        "a structure not on record gives no height; a record is never complete as a list of obstacles",
    ),
    Unknown(
        LayerName.FIXED_SITES, "fixed flying sites", Weight.GRANTING, "a site not on record grants nothing"
    ),
    Unknown(
        LayerName.EXEMPT_AREAS,
        "Remote ID exempt areas",
        Weight.GRANTING,
        "an area not on record exempts nobody",
    ),
    Unknown(None, "permissions", Weight.GRANTING, "a permission not on record permits nothing"),
    Unknown(
        LayerName.STADIUMS,
        "stadiums",
        Weight.ADVISORY,
        "games in them close what is about them; the check of notices is what counts",
    ),
    Unknown(
        LayerName.STADIUM_EVENTS,
        "stadium events",
        Weight.ADVISORY,
        "flying near a stadium is forbidden about a game; the check of notices is what counts",
        source="the list of events, each with the name of a stadium that is known or a point of its own",
        closing=True,
    ),
    Unknown(
        LayerName.TEMPORARY,
        "temporary restrictions",
        Weight.ADVISORY,
        "they change by the hour; the check of notices is what counts",
        source="the notice itself: draw it as a restriction of the plan, or import it again",
        closing=True,
    ),
    Unknown(
        LayerName.PARK_LANDS,
        "closed lands",
        Weight.ADVISORY,
        "whose ground launch and landing is, the plan itself must say",
    ),
    Unknown(LayerName.AERODROMES, "aerodromes", Weight.ADVISORY, "they show where other aircraft are low"),
    Unknown(LayerName.ROADS, "roads", Weight.ADVISORY, "who is beneath must be looked at on the spot"),
    Unknown(
        LayerName.BUILDINGS, "buildings", Weight.ADVISORY, "who is beneath must be looked at on the spot"
    ),
    Unknown(
        LayerName.GATHERING_PLACES,
        "gathering places",
        Weight.ADVISORY,
        "who is beneath must be looked at on the spot",
    ),
    Unknown(
        LayerName.TRAINING_ROUTES,
        "low-level training routes",
        Weight.ADVISORY,
        "they show where others are fast and low; they close nothing",
    ),
    Unknown(
        LayerName.PARACHUTE_SITES,
        "parachute sites",
        Weight.ADVISORY,
        "they show where people fall from the sky; look up and listen",
    ),
    Unknown(
        LayerName.GLIDER_SITES,
        "glider sites",
        Weight.ADVISORY,
        "they show where gliders are low and silent; look up and listen",
    ),
    Unknown(
        LayerName.RUNWAYS, "runways", Weight.ADVISORY, "they show from where others come in and go out low"
    ),
    Unknown(
        LayerName.FREQUENCIES,
        "radio frequencies",
        Weight.ADVISORY,
        "listening in helps, and replaces no look-out",
    ),
    Unknown(
        LayerName.WIRES,
        "charted wires",
        Weight.ADVISORY,
        "charts show few wires and none for sure; walk the place",
    ),
    Unknown(LayerName.WATER, "water", Weight.ADVISORY, "what is beneath must be looked at on the spot"),
    Unknown(
        LayerName.LAND_COVER, "land cover", Weight.ADVISORY, "what is beneath must be looked at on the spot"
    ),
    Unknown(None, "wires", Weight.ADVISORY, "records of wires are never complete; walk the place"),
    Unknown(
        None,
        "trees",
        Weight.ADVISORY,
        "no terrain data shows them for sure, for what the crew sees too; walk the place",
    ),
    Unknown(
        None,
        PEOPLE,
        Weight.ADVISORY,
        "who is beneath is not given; nobody can know at the desk who will be there",
        when_given="who really is beneath at that hour: only what is drawn is judged",
    ),
    Unknown(
        None,
        WIND,
        Weight.ADVISORY,
        "not given; time and battery are reckoned in still air: measure it on the spot",
        when_given="eddies behind ridges, trees and buildings: no law of wind by height holds there",
    ),
    Unknown(
        None,
        CLOUD,
        Weight.ADVISORY,
        "not given, not measured, or over a station of unknown height; look up on the spot",
    ),
    Unknown(
        None,
        BATTERY,
        Weight.ADVISORY,
        "battery, power or the path not given; fly with a reserve",
        when_given="age and true state of the battery: packs differ; watch the voltage under load",
    ),
    Unknown(
        None,
        LINKS,
        Weight.ADVISORY,
        "figures of the links, ground or the path not given; test the link on the spot",
        when_given="other transmitters, turned antennas, trees and buildings not drawn with their height: "
        "none is reckoned with; test on the spot",
    ),
    Unknown(
        None,
        OTHER_PILOTS,
        Weight.ADVISORY,
        "theirs or your own are not given; ask who else flies, before anybody powers up",
        when_given="who else powers up a transmitter at the place: only the pilots named are checked",
    ),
    Unknown(
        None,
        LINK_LOSS,
        Weight.ADVISORY,
        "what the aircraft does then, ground or the path not given; know it before take-off",
    ),
    Unknown(
        None,
        "papers",
        Weight.ADVISORY,
        "what the plan says of them is taken as said; take the originals along",
    ),
)
"""In the order in which the data is reported."""


def not_checked(current: Collection[LayerName], given: Collection[str] = ()) -> tuple[str, ...]:
    """Return what a verdict does not cover, in words.

    `current` are the layers that can be relied on, `given` the inputs that
    were answered (`what` of their rows).
    """
    absent = [
        row.what
        for row in TABLE
        if row.layer is not None and row.weight is Weight.ADVISORY and row.layer not in current
    ]
    unread = (f"not checked, as no current data covers the place: {', '.join(absent)}",) if absent else ()
    rows = [row for row in TABLE if row.layer is None and row.weight is Weight.ADVISORY]
    lines = [row.when_given if row.what in given else f"{row.what}: {row.reason}" for row in rows]
    return unread + tuple(line for line in lines if line)
