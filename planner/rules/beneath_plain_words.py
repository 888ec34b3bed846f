"""What the rules on who is beneath say, in plain words."""

from collections.abc import Mapping
from typing import Final

_PLACES: Final = (
    "A line on a chart, or one that you drew, shows where people may be, not whether they are there. Look "
    "before every pass, and wait until nobody is beneath. Draw who is there, and the plan is judged by it."
)

BENEATH_WORDS: Final[Mapping[str, str]] = {
    "over-people": (
        "Under Part 107 an aircraft without a category flies over nobody but those who take part in "
        "the flight itself, unless they are under a covered structure or in a stationary vehicle that "
        "protects them. That somebody agrees does not change it. Categories 1 to 4 open some of it: "
        "people, moving vehicles, assemblies, each on terms of its own. For recreational flights the "
        "statute names no rule; the guidelines you follow do."
    ),
    "over-road": _PLACES,
    "over-gathering-place": _PLACES,
    "over-trail": _PLACES,
    "over-wire": "Wires on charts are few. Where some are, more are near: look at them on the spot.",
    "over-people-under-cover": (
        "People under a covered structure, or in a stationary vehicle that protects them, may be overflown."
    ),
    "over-building": "Who is inside is under cover. Who steps out of the door is not.",
    "over-water": "What falls there is lost, and pollutes.",
    "fall-on-people": (
        "A failed aircraft keeps its speed and falls ahead: as far as its speed times the square root "
        "of twice the height over gravity, and the wind carries it on for as long as drag makes it fall. "
        "Nobody who does not take part should stand there. Your own distance, if you set one, takes "
        "the place of this."
    ),
    "drift-not-known": (
        "A drag area says how fast an aircraft falls and so how long wind carries it. Without one only a "
        "bound is known: that of a flat disc as wide as the aircraft is, falling broadside on in the gusts. "
        "Where that reaches somebody, and nothing nearer is a stop anyhow, the answer is open. Give the area "
        "it shows when it tumbles, times the drag coefficient; or keep farther away on the side to which the "
        "wind blows."
    ),
    "reach-not-known": (
        "How far a failed aircraft falls ahead hangs on how fast it flew. Of a leg whose speed nobody said, "
        "nor that of cruise, the highest airspeed stands for it, else 87 kt; and in an area it may fly as "
        "fast as it can, any way. Where no airspeed is given the speed limit of 87 kt stands for it (own "
        "choice), and where that reaches somebody the answer is open; so it is where it may fly on so fast "
        "until its lost-link action begins, onto somebody or into something. Is another airspeed than the "
        "highest given, that is something to do; so it is before airspace is asked for in which it may come "
        "down farther ahead than the outline asked for reaches. Give the highest airspeed."
    ),
    "link-loss-adrift": (
        "What lands by itself comes straight down only where it holds its place, by satellites as a rule. "
        "Level and without them it goes with the wind: as far as that blows while it lands, with gusts "
        "for 10 s of it, after what it flew has died away. Say whether it uses a satellite fix (it needs "
        "one then), and how fast it sinks; a slow landing drifts far."
    ),
    "link-loss-drift-not-known": (
        "What falls where the link is lost goes with the wind as any failed aircraft does. Without a drag "
        "area nobody knows how far, and by the bound it may reach somebody."
    ),
    "people-near": (
        "A common rule wants as much distance from people as the aircraft is high. A fast one comes "
        "farther: beyond the square root of half of gravity times height, in metres a second, the "
        "height is not enough. And a failing aircraft may turn any way. Who has thought of it and stays at a "
        "distance of his own sets that: then it is something to do."
    ),
    "own-distance": "You set how far you want to stay from people; the path comes nearer.",
    "people-in-area": (
        "In an area nobody knows where the aircraft will be, so whoever is inside counts as flown over."
    ),
    "fall-zone": (
        "Reckoned without drag, at the speed over the ground: in still air real falls are shorter. Wind from "
        "behind may carry a light aircraft, which floats longer than a stone falls, farther than that: with "
        "wind and drag area given, that way is reckoned, too. The energy is a screening only: the categories "
        "count injury, not energy, and rest on a declaration."
    ),
    "channels-clash": (
        "Two pictures on one frequency, or too near to it, take each other: whoever powers up blinds the "
        "pilot in the air. Two transmitters close together also make a third frequency between them."
    ),
    "own-control-on-video": (
        "A transmitter drowns whatever a receiver beside it should hear on the same frequency. Control is "
        "lost so when the picture is switched on, or a little way out. One digital system that carries both "
        "shares the time; two systems do not."
    ),
    "control-under-picture": (
        "A picture sent on the frequency of your control is noise to the receiver on your aircraft, the more "
        "the nearer they come. How much is not reckoned: it hangs on both powers and distances."
    ),
    "picture-width-to-check": (
        "How near two channels may be hangs on how much of the band each picture takes. A width that no "
        "picture has would let any two stand side by side."
    ),
    "channels-apart": (
        "The channels of everybody named are far enough apart, and no product of two falls on a third."
    ),
    "own-channel-not-said": "Channels can only be held against each other when yours is among them.",
    "link-loss-on-people": (
        "An aircraft that drops or lands where it loses its link, or at the end of its return, comes down on "
        "whoever is there. Of a category that may fly over them that is something to do. A drop is no way "
        "out over people or where they may be: a return to a place where nobody is, or another path, is. And "
        "till its action begins it flies on as it flew: as low as people or vehicles are high, into them."
    ),
    "link-loss-on-crew": (
        "Your own crew may be flown over, but nobody steers an aircraft that has lost its link: whoever "
        "stands where it flies on low, or comes down, has to know it and be able to step aside. Who is "
        "within 66 ft of where it starts or lands expects it there (own choice)."
    ),
    "link-loss-ends-in": (
        "An aircraft that comes down by itself sees nothing: it lands in the tree, on the roof or in the "
        "water that is there. Open ground at the place it returns to costs nothing."
    ),
    "spectator-without-place": (
        "Who watches is no crew and must not be overflown. Without a place on the map nobody can tell how "
        "near the aircraft comes to them."
    ),
    "undrawn-way-over": (
        "Between the launch or landing point and what is drawn the aircraft flies, too. Straight on that way "
        "are people, or so near that what fails may come down on them; something it would hit, guy wires "
        "that may be there, or something of which no height is said, and nobody has judged it: draw the way "
        "that you really fly."
    ),
    "return-over-people": (
        "An aircraft that has lost its link flies home by itself, straight, and over whoever is on that way; "
        "nobody can turn it aside. Over a gathering that is no plan; over others it is to be kept in mind."
    ),
    "return-near-people": (
        "A way home that nobody steers is not exactly where the line lies, and what fails on it comes down "
        "up to as far aside as it is high, or farther in wind: nearer people are to be kept in mind. Whom "
        "the flight itself comes as near is judged there."
    ),
    "into-cover": (
        "You drew trees or a building with their height, and the path leads through them. Heights of trees "
        "are guesses: look on the spot."
    ),
    "close-beside-cover": (
        "A line on the map is no wider than a pen, and an aircraft is no more exactly on it than satellites, "
        "its holding of a place and the map allow. Beside trees or a building that are higher, or of which "
        "no height is said, flown a little aside it hits them."
    ),
    "cover-without-height": (
        "Trees and buildings that are drawn with their height are held against the way home; without it "
        "they are not."
    ),
    "aerodrome-traffic": (
        "Near runways and heliports others are low, in circuits and on approaches. Surfaces that the rules "
        "draw for construction show where: they are no limit for aircraft in flight. Circuits are taken to "
        "lie within 2 nautical miles of a runway, helicopters to be low within 500 ft of their pad (own "
        "choices). Ways that are not drawn and the way home on lost link count, too. Give way, always."
    ),
    "activity-near": (
        "Charts show routes on which aircraft train low and fast, and places where people jump or gliders "
        "fly. They close nothing; look out toward them, give way, and ask on the spot when they are in use."
    ),
    "aerodrome-near": (
        "An aerodrome is near. Whoever flies there has the right of way. The old duty to tell every airport "
        "within 5 miles ended in 2018: in Class G nothing has to be asked for; in controlled airspace the "
        "authorization takes its place. A call on the phone authorizes nothing."
    ),
    "vehicle-moves-on": (
        "A plan knows one place for each of the crew. From a vehicle that moves on, sight, radio links, "
        "charge for the way home and the return on lost link change with every metre; that is not reckoned."
    ),
    "from-moving-vehicle": (
        "Under Part 107 nobody flies from a moving land or water vehicle except over a sparsely "
        "populated area, and never while carrying property for hire."
    ),
}
