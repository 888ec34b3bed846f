"""Short words for the strips under the printed profile."""

from planner.ceiling.profile import Binding
from planner.flight.below import Below
from planner.rules.finding import Mark
from planner.sight.along import Sight

BINDS_WORDS = {
    Binding.GROUND: "ground",
    Binding.STRUCTURE: "structure",
    Binding.AIRSPACE_FLOOR: "airspace above",
    Binding.NO_PERMISSION: "no permission",
    Binding.PERMITTED_HEIGHT: "height permitted",
    Binding.CLOSED: "closed airspace",
    Binding.SITE_HEIGHT: "fixed site",
    Binding.UNKNOWN: "not known",
}
SEEN_WORDS = {
    Sight.SEEN: "seen",
    Sight.BARELY: "barely seen",
    Sight.AGAINST_SUN: "against the sun",
    Sight.BRIEFLY_HIDDEN: "hidden, within own limit",
    Sight.UNTRIED: "farther than tried",
    Sight.UNKNOWN: "not known",
    Sight.TOO_FAR: "too far",
    Sight.HIDDEN: "hidden",
}
BELOW_WORDS = {
    Below.ASSEMBLY: "gathering",
    Below.VEHICLES: "moving vehicles",
    Below.SPECTATORS: "spectators",
    Below.PEOPLE: "people",
    Below.SUBJECT: "subject",
    Below.ROAD: "road",
    Below.GATHERING_PLACE: "gathering place",
    Below.TRAIL: "trail",
    Below.WIRE: "wire",
    Below.UNDER_COVER: "people under cover",
    Below.CREW: "crew",
    Below.BUILDING: "building",
    Below.QUIET_ROAD: "road without vehicles",
    Below.RUNWAY: "runway",
    Below.TREES: "trees",
    Below.WATER: "water",
}
# On paper a strip has little room.
BRIEF_BELOW_WORDS = {
    **BELOW_WORDS,
    Below.VEHICLES: "vehicles",
    Below.UNDER_COVER: "under cover",
    Below.QUIET_ROAD: "empty road",
}
# Numbers of `planner.drawing.strip_rows.Look`.
GRAVEST_OF_MARK = {Mark.NOTE: 0, Mark.ACT: 1, Mark.UNKNOWN: 2, Mark.STOP: 3}
