"""What the rules of the flight say, in plain words: does it come home."""

from collections.abc import Mapping
from typing import Final

FLIGHT_WORDS: Final[Mapping[str, str]] = {
    "gap-not-judged": (
        "Whether an aircraft fits through an opening is never judged here, at no width: no data hold the "
        "opening, what hangs in it, the wind in it, or how exactly somebody flies. It is looked at and "
        "measured on the spot, and flown at the pilot's own risk."
    ),
    "figure-without-call": (
        "Whoever watches must know what comes next: a word of its own, said before each entry, tells a "
        "figure from a failure. Common practice, no rule."
    ),
    "figure-without-bail-out": (
        "A figure that goes wrong is given up at once, and there is no time to look for a place then. So "
        "the way out is chosen beforehand: open, with nobody on it. Common practice, no rule; the program "
        "does not judge the place."
    ),
    "dive-does-not-descend": (
        "A dive whose exit is as high as its entry, or higher, is no dive: most likely the path was "
        "reversed, or a height counts from something else than was meant."
    ),
    "way-not-held": (
        "Where the wind blows stronger than the aircraft can fly, it drifts away, whatever the sticks "
        "say. Wind grows with height; the figure is for where it was measured."
    ),
    "way-not-held-in-gusts": (
        "The mean wind can be held, its peaks can't: in each of them the aircraft is carried off its way."
    ),
    "speed-limit-in-gusts": (
        "Under Part 107 the speed over the ground stays at or below 87 knots. In the mean wind it does; a "
        "gust from behind carries the aircraft above it while it holds its airspeed."
    ),
    "leg-slower-than-planned": (
        "Against the wind the aircraft does not reach the speed that is planned over the ground. The "
        "flight takes longer and more charge, and both are reckoned with. Where no highest airspeed is given "
        "and the speeds planned, if it can hold them, empty the battery, the answer is open."
    ),
    "in-lee": (
        "Behind a ridge air sinks and turns over itself, to about ten times the ridge's height downwind. "
        "No law of wind by height holds there."
    ),
    "visibility-below-guidance": (
        "For recreational flights the statute names no visibility. 3 statute miles, the least under "
        "Part 107, is common guidance."
    ),
    "cloud-too-near": (
        "Under Part 107 the aircraft stays 500 ft below and 2,000 ft beside cloud. For recreational "
        "flights the statute names no figure: the same is common guidance. In cloud, or above it, nobody "
        "sees the aircraft, and to be seen is the law for both: no such flight is ready."
    ),
    "visibility-against-report": (
        "A report of the flight's time says less than 3 statute miles, the plan counts on more. Under "
        "Part 107 nobody can call that enough; for recreational flights it is guidance."
    ),
    "sight-against-report": (
        "The visibility that is typed, 0.3 of it, bounds how far away the aircraft is found at all. A report "
        "of the flight's time says less. Where part of the flight would be too far away to be found in that, "
        "nobody can say that it is seen: what is typed has no time. Elsewhere the figure that is typed is "
        "kept, as the pilot may see more on the spot; the smaller one is the safe one to count on."
    ),
    "cloud-against-report": (
        "A report of the flight's time puts cloud over most of the sky lower than what is typed. By the "
        "report less than 500 ft are left under it."
    ),
    "cloud-of-unknown-height": (
        "A report gives cloud as a height above its own station. Where that station stands, or how high, "
        "is not known here. A station in a valley may report much more room under the cloud than there is on "
        "the ridge: unless the base leaves room above the lowest place a station may stand at, or you type "
        "the base that you see, nobody can say."
    ),
    "cloud-not-measured": (
        "A report may say that cloud covers the sky, or that the sky can't be seen, and give no base. Then "
        "it may be as low as the flight."
    ),
    "report-from-afar": (
        "Wind, cloud and temperature are those of the station. More than 100 km away (own choice) they say "
        "nothing of this place."
    ),
    "colder-than-known": (
        "The model of what cold takes from a pack is a rule of thumb and ends at a temperature. Below it "
        "nothing is known, and the charge can't be believed."
    ),
    "wind-against-report": (
        "What is typed goes before what reports say, but has no time, and may have been measured in a lull. "
        "Here a report says more wind. All is reckoned a second time with that one: where the flight then "
        "can't hold its way, come home or keep off people the answer is open."
    ),
    "temperature-against-report": (
        "What is typed goes before what reports say. A report of the flight's time is more than 5 degrees "
        "colder or warmer: cold takes charge from a pack, warm air carries less. The battery is reckoned a "
        "second time with that one: where it then does not bring the aircraft home the answer is open."
    ),
    "pressure-against-report": (
        "What is typed goes before what reports say. A report's pressure at sea level is more than 10 hPa "
        "away from it; pressure read at the place itself, unreduced, is the usual slip."
    ),
    "wind-not-compared": (
        "Whether an aircraft can hold a wind depends on its airspeed. Without one the wind is shown, and "
        "the way is taken as held."
    ),
    "weather-report": (
        "Reports are shown as they were issued. What can't be read or believed is listed and never "
        "guessed; what is not of the flight's time does not count. A station's weather is not that of the "
        "place."
    ),
    "longer-than-window": (
        "All that is judged is judged from the window's start to its end: sun, hours of airspace,"
        " permissions, how long data hold. A flight that goes on after it is not."
    ),
    "wind-not-read": (
        "What is not given counts as not checked. What is given and can't be read is not known: it may be the"
        " storm that the report was about. Other winds of the hour do not outvote it; what you type does."
    ),
    "wind-not-counted": (
        "A report of another hour is no wind of the flight, and still air is none, either. What"
        " it is at the hour of the flight, a newer report or your own figure must say."
    ),
    "wind-of-part": (
        "A forecast tells of its own hours, and what was seen at one moment tells little of an hour more than"
        " 3 hours from it. For the rest of the flight nothing is said, and what was need not last."
    ),
    "air-of-part": (
        "A forecast tells no temperature, and what was measured at one moment tells little of an hour more "
        "than 3 hours from it. The pack is as cold as the air it lies in."
    ),
    "report-of-unknown-place": (
        "A report is good where it was made. Nobody can say how far that is from here, nor how high it lies, "
        "until the station's place is given."
    ),
    "sight-of-part": (
        "Fog and cloud come within an hour. What was seen at one moment is taken for 3 hours about it, a"
        " forecast for its own hours; of the rest of the flight's hours nobody has said anything."
    ),
    "dangerous-weather": (
        "In and near a thunderstorm, its towering cloud, a squall or funnel cloud the wind turns and doubles"
        " within seconds; hail, freezing rain, blowing snow, sand and ash stop motors and lenses."
    ),
    "seen-through-mist": (
        "By the code of reports mist is told between 1,000 and 5,000 m of visibility, smoke, haze, dust and "
        "sand at 5,000 m or less (in the United States below 7 miles), fog below 1,000 m. Where no figure "
        "stands beside it, or one that is greater, nobody knows how far one sees."
    ),
    "fog-about": (
        "Shallow fog, patches, or fog in the vicinity hide an aircraft from whoever must see it, and come "
        "and go within minutes. Fog itself, told without a figure, counts as less than 1,000 m."
    ),
    "wet-weather": (
        "Few small aircraft are tight. At or below freezing, whatever is wet becomes ice: on propellers it"
        " takes lift and shakes, and on a lens the picture."
    ),
    "flight-time": (
        "Turns and hovering take no time in it. Where a leg states no speed, that of cruise counts, else "
        "a calm pace."
    ),
    "home-reached": (
        "From every place of the path the way home is reckoned, straight and against the wind of that "
        "way, with climb and landing. What is left after it is the reserve."
    ),
    "link-loss-in-gusts": (
        "A return flies at the airspeed that is set, whatever blows. In gusts that are nearly as fast it "
        "makes little headway, and the battery pays for the time. Gusts do not blow all the way, but nobody "
        "steers then, and nobody can turn earlier."
    ),
    "wing-turns-wider": (
        "A wing cannot turn on the spot: the faster it is and the less it banks, the wider. Reckoned with a "
        "bank of 30 degrees (own choice) it flies to the corner and swings out beyond it before it is back "
        "on its line. Draw the turn as it is flown, then path, fall and sight are judged there. Where "
        "something stands there as high as it flies, or people are, the answer is open."
    ),
    "link-loss-no-room": (
        "A wing whose link is lost turns round where it is, climbs to the height of its return in circles, "
        "or holds in them. How wide hangs on its speed, the wind and its bank; 30 degrees are taken (own "
        "choice), and to which side it turns nobody can say, so both count: up to two radii to either side "
        "where it climbs, holds or flies away from home. What stands there as high as it is, or who is, "
        "leaves the answer open. Within two radii of where it takes off or lands, and less than 33 ft up, it "
        "is so low because it takes off or lands: there the ground is told, and yours to look at. In a "
        "flying area it is asked at the top."
    ),
    "link-loss-circles": (
        "A wing that has come home by itself circles until somebody takes over, or its battery is empty. How "
        "wide hangs on its speed, the wind and its bank; 30 degrees are taken (own choice). Who is within "
        "that circle is circled over, and it comes down somewhere there."
    ),
    "wing-too-slow": (
        "A wing that flies too slow stalls and falls. At which airspeed yours does is not asked for; beside "
        "its airspeed in cruise one can say when it is likely. What is planned slower than that will be "
        "flown faster, or not at all, and time, charge and fall are others then. Where no cruise is given, "
        "half of the highest airspeed, or 8 m/s if that is more, is the least that is taken for it (own "
        "choices)."
    ),
    "return-rate-to-check": (
        "The return on lost link is set to a rate of climb or descent that the aircraft is said not to "
        "reach. One of both is wrong, and with it how long the return takes."
    ),
    "climbs-too-fast": (
        "A path has to be climbed along at the rate that the aircraft has. A rotorcraft flies slower for it, "
        "which takes time and charge; a fixed wing can't, and stalls or stays below the path."
    ),
    "sinks-too-fast": (
        "A rotorcraft that sinks straight and fast meets its own downwash, wobbles and may fall on. A dive "
        "forward keeps clean air, if it has been tried with room below. The rate of descent you gave is held "
        "against the path."
    ),
    "home-over-unknown-ground": (
        "The way home clears the ground between. Where no terrain shows it, nobody knows how high that is, "
        "nor what the climb costs."
    ),
    "home-in-gusts": (
        "The way home is reckoned against the mean wind. Gusts last seconds, but strong ones come in rows, "
        "and a forecast may be a few knots short: so it is reckoned once more as if they blew all the way. "
        "Nobody meets that: what may blow for a minute is the mean wind and 0.4 of what gusts are stronger "
        "(own choice). No headway, or an empty battery, in that is no plan; less than the reserve in gusts "
        "is a reason to turn back earlier."
    ),
    "home-not-reached": (
        "Beyond the turn-back point the battery does not bring the aircraft home with the reserve. Read "
        "it as charge used, or as volts a cell under load, whichever comes first."
    ),
    "charge-not-reckoned": (
        "Charge and way home are reckoned from the battery's cells and capacity, and from power at an "
        "airspeed. Where some of it is given and not all, nothing is reckoned, and nobody should think it is."
    ),
    "cell-too-low": (
        "Below its lowest voltage a cell is damaged, and the aircraft may switch off. Under load the "
        "voltage sags: more so when cold, old or nearly empty. It is asked along the path and, on what is "
        "left then, where it comes home: flown, by itself, and from an area with the reserve."
    ),
    "cell-low": "By this voltage under load the aircraft should be on the ground: common practice.",
    "control-margin": (
        "The margin is what a link has left over the least that its receiver needs, after distance and "
        "the ground in between. Trees and buildings count as solid where you drew them with a height. "
        "Antennas turned away, bodies and other transmitters take more."
    ),
    "video-margin": (
        "Without a picture nobody flies: an analog one fades, a digital one freezes without warning. "
        "Control may well be alive then, so the aircraft does nothing by itself."
    ),
    "picture-lost-control-alive": (
        "When the picture goes and control holds, nothing begins by itself: the aircraft does what the "
        "sticks say, and nobody sees where it goes. The observer calls, the pilot takes off the goggles, or "
        "lets the lost-link action bring it home by switching the control link off, if that is tried."
    ),
    "area-not-judged": (
        "In a flying area the aircraft may be anywhere and fly any way, so links, battery and lost link are "
        "judged for the place where each is worst. What that leaves open, and you can do something about, is "
        "told here; what nobody can reckon stands under what is not checked."
    ),
    "link-weak-low": (
        "Near the ground a wave has less room: what rises between takes more of it the lower the aircraft "
        "flies. The link is asked at some heights above the ground all over the area, and the lowest one "
        "from which up it keeps its margin is said."
    ),
    "link-loss-flies-on": (
        "Until its lost-link action begins the aircraft flies on as the sticks said: out of the area, too. "
        "What stands beside the area is in the way: of whoever flies lower, or of all if it is higher than "
        "the top. Ground that is higher than the top there is a stop."
    ),
    "home-by": (
        "How a flying area is flown nobody can reckon, the way home can be: from the place from which it "
        "takes most, against the wind, with climb and landing. What you may have used by then is what is "
        "left of the battery without it and without the reserve."
    ),
    "link-not-known": (
        "Where ground between antenna and aircraft is not known, no margin is reckoned: a hill there may "
        "take all of it, so the answer is open."
    ),
    "link-figures-missing": (
        "A link is reckoned from its power, both antennas' gains and the receiver's sensitivity. Without "
        "one of them it is not checked."
    ),
    "band-not-open": (
        "Each band is open to some users at some power: without a license only weak or spread emissions, "
        "the amateur service with a license and never for paid or business flights."
    ),
    "band-needs-license": (
        "No rule without a license opens this band and power to this flight. The amateur service does, to "
        "who holds its license, identifies, and flies neither for pay nor for a business."
    ),
    "link-through-cover": (
        "Trees and buildings that are drawn take from a link with their height. Where none is said, its"
        " margin is that over bare earth, and a wood before the antenna may take all of it. Up to which "
        "height of it the links hold is told; where it may be higher than that, the answer is open."
    ),
    "return-over-cover": (
        "Trees and buildings that are drawn count on the way home with their height. Where none is said, "
        "nobody can say whether that way clears them. Charts know the heights of few buildings: of "
        "those without one you are told where the way is lower than such a building may be, 20 m."
    ),
    "link-loss-too-low": (
        "When the control link is lost the aircraft acts by itself. From every place of the path it is "
        "looked at what it then does, and how it clears ground and structures on record by the room that is "
        "wanted; only where it begins it may be as low as it was flown, and till then must not strike what "
        "lies ahead. Coming down to land where you take off or land is a landing. Wires and trees are not on "
        "record."
    ),
    "link-loss-above-ceiling": (
        "A return height that clears a ridge may lie above what is allowed elsewhere. It should do both; "
        "where it can't, another action or another path is safer. Airspace that it comes into is named; "
        "where that is shut from the ground up, no height helps."
    ),
    "link-loss-within-band": (
        "What the aircraft holds by itself on lost link is as uncertain as what you hold by the readout: by "
        "the terrain's error and the readout's. Within that band under a ceiling or a record's height, or "
        "over the top of an airspace, it may be on the other side, and over ground that it sinks to while "
        "it still flies on, on it. Where the flight itself comes as close, that alone is told. What returns "
        "at the highest height flown so far comes back along its climb-out as low as it climbed, and what is "
        "on its way down to its landing point may touch the ground there with way on: both are told, too."
    ),
    "link-loss-into-cloud": (
        "A return on lost link is flown at a height that you set. Above the base of cloud over most of the "
        "sky neither you nor anybody flying there sees it, and it may meet what flies by instruments."
    ),
    "return-speed-limit": (
        "What the aircraft flies by itself is flown by you: under Part 107 the speed over the ground stays "
        "at or below 87 knots on a return on lost link, too, with the wind behind it."
    ),
    "return-speed-limit-in-gusts": (
        "In the mean wind the return on lost link keeps the limit of 87 knots over the ground; a gust from "
        "behind adds to it."
    ),
    "link-loss-near-cloud": (
        "Under Part 107 500 ft below cloud are kept, or 2,000 ft beside it. The path keeps them, a return on "
        "lost link at the height that you set does not."
    ),
    "link-loss-asks": (
        "A return on lost link is flown, too. Where it enters Class E of which only the authority can say "
        "whether the flight may be there, and no answer on record holds as far and as high, the question is "
        "as open as on the path itself."
    ),
    "link-loss-above-asked": (
        "A return on lost link is flown in the airspace, too. Where it comes higher than the flight itself, "
        "a permission that is asked for the flight's own height does not hold for it: the return's is asked "
        "for, by the route that gives it. Lower, the automated service may do."
    ),
    "link-loss-drifts-into": (
        "What lands without holding its place by satellites, or falls, goes with the wind. How far is "
        "reckoned as for people beneath, gusts included. Airspace beside that is closed or has to be asked "
        "for is not where it should end, nor what lies beyond the end of a permission on record: nobody "
        "steers it then."
    ),
    "link-loss-comes-through": (
        "An aircraft that lands, falls or holds until it is empty when its link is lost comes down where it "
        "is. What is closed beneath it, or ahead where it flies on first, it then enters, with nobody "
        "steering it: no less than if the path led there. What takes an authorization is to be asked for as "
        "if it were flown. About a flying area this is asked on all sides."
    ),
    "link-loss-blown-away": "A return at a set airspeed comes home only against less wind than that.",
    "link-loss-blown-in-gusts": (
        "A return at a set airspeed is reckoned in the mean wind, and once more as if the gusts blew all the "
        "way. Where they are faster than it flies, it stands still or drifts back until they let up; where "
        "what may blow for a minute is (mean and 0.4 of what gusts are stronger), it does not come home."
    ),
    "link-loss-empty": (
        "A return by itself climbs first, flies at its own airspeed against the wind, and lands. Where that "
        "takes more than is left in the battery, it comes down on the way."
    ),
    "link-loss-under-reserve": (
        "Flown home by hand it lands with the reserve; by itself, with its climb and at its own airspeed, it "
        "lands with less. To where it keeps the reserve is said with the charge used there: that is the "
        "careful figure to turn back at."
    ),
    "link-loss-not-known": (
        "Nobody can say how an aircraft clears ground that is not known, or flies home at a height that "
        "is not stated: whoever says less is no better off."
    ),
    "link-loss-action": (
        "Know what the aircraft does by itself when the link is lost, and what it needs for that: to return "
        "or to hold its place it must know where it is, by satellites and a compass as a rule. What is not "
        "said of its delay and its speeds is only assumed."
    ),
    "link-loss-on-a-wing": (
        "A wing has to fly to stay up: it neither hovers nor sinks straight down. An action that was made "
        "for a rotorcraft ends in circles or a glide, and where a glide ends hangs on wind, trim and luck. "
        "People within ten times its height, or within its whole circle, may be whom it comes down on."
    ),
    "link-loss-holds": (
        "An aircraft that holds its place without a link hovers as long as its battery lasts and then falls, "
        "whatever is beneath by then, and with the wind. Some land before, but that is another action: it is "
        "judged as it is set."
    ),
    "return-height-below-launch": (
        "A return height is climbed to; common practice is that an aircraft which is higher stays as high as "
        "it is. One that is set below the launch point is a slip as a rule, and an aircraft that obeys it "
        "flies into the ground."
    ),
}
