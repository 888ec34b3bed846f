"""What each rule says, in plain words; a pointer to the text, never in its place."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from planner.rules.absurd_plain_words import ABSURD_WORDS
from planner.rules.beneath_plain_words import BENEATH_WORDS
from planner.rules.flight_plain_words import FLIGHT_WORDS
from planner.rules.height_plain_words import HEIGHT_WORDS
from planner.rules.permission_plain_words import PERMISSION_WORDS
from planner.rules.time_plain_words import TIME_WORDS

_DATA: Final = (
    "The answer is only as good as the data. Data that close something off must be there, current, "
    "cover the place and be made for these rules; else nobody can say that the flight is lawful. Other "
    "data grant or advise: without them nothing is granted, and what they would show counts as not "
    "checked."
)

PLAIN_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **HEIGHT_WORDS,
        "site-ends-at-class-e": (
            "At a fixed flying site in Class G airspace an authorization may allow more than 400 ft. "
            "The authority has read the law so that recreational flight ends at the floor of the Class "
            "E airspace above, so the limit ends there too, whatever the paper says."
        ),
        "weight-limit": (
            "The rules for small unmanned aircraft hold below 55 lb at take-off, with everything on "
            "board. From there on other rules apply, which are not judged here."
        ),
        "speed-limit": (
            "Under Part 107 the aircraft flies at 87 knots (100 mph) over the ground at most; wind from"
            " behind counts."
        ),
        "path-without-length": (
            "Points that lie on each other are no way: nothing is flown, so nothing can be judged."
        ),
        "path-of-one-point": (
            "One point is the beginning of a path, not a path: nothing between it and the rest is known."
        ),
        "area-without-room": (
            "The top of the area lies at or under the ground everywhere. Most likely its height counts "
            "from something else than was meant."
        ),
        "area-without-top": (
            "An area is judged as a volume: without a top nobody can say how high the flight goes."
        ),
        "area-above-limit": (
            "The whole volume of the area is judged, not only a path in it: its top must stay under the"
            " height limit everywhere, also over the lowest ground in it."
        ),
        "area-close-under-limit": (
            "Somewhere in the area its top is under the limit by less than ground and readout are uncertain."
        ),
        "area-ground-not-known": (
            "Where the ground of the area is not known there is no limit to judge its top by."
        ),
        "area-too-large": (
            "So large an area can't be judged cell by cell, and judging it by samples would be guessing."
        ),
        "path-outside-area": (
            "You drew an area to stay in. The path leaves it: one of the two is not what you meant."
        ),
        "path-above-area": (
            "You gave the area a top. The path climbs above it: one of the two is not what you meant."
        ),
        "other-activity": (
            "Warning, alert and military operations areas, training routes, parachute and glider sites "
            "close nothing, but other aircraft are low and fast there, or hard to see. You give way to "
            "all of them and never interfere; no rule says how many feet well clear is. Controlled firing "
            "areas are on no chart at all."
        ),
        "hours-not-active": (
            "By its published hours this airspace is not active then. Notices may change the hours."
        ),
        "hours-by-notice": (
            "Outside its published hours this airspace is active whenever a notice says so, so it "
            "counts as active."
        ),
        "limits-not-known": (
            "A floor or a top that isn't told, or that contradicts the other, counts as widest: the airspace "
            "then begins at the ground, or has no top."
        ),
        "hours-unreadable": "What can't be read for sure, or leaves open what follows, counts as active.",
        "land-not-settled": (
            "Airspace permission is not leave to use the ground. Whoever owns or runs the place of "
            "launch and landing decides who starts and lands there."
        ),
        "closed-land": (
            "Some lands are closed to launching, landing and operating from them, as national parks "
            "are. That is judged by where aircraft and crew stand, not by what is flown over."
        ),
        "closed-land-near": (
            "Flying over it is not what this rule forbids; starting, landing and standing there are. An"
            " aircraft that comes down there can't simply be fetched."
        ),
        "closed-land-beside": (
            "Where closed land ends is seen on the spot, not on a map: neither that nor a satellite fix is "
            "exact to a step."
        ),
        "nothing-drawn": "Only a path or an area can be judged.",
        "no-purpose": (
            "A flight for fun under 49 USC 44809 and a flight under 14 CFR part 107 have different "
            "limits, permissions and papers. Paid or promotional flights are never recreational."
        ),
        "no-guidelines": (
            "A recreational flight is flown by the safety guidelines of a community-based organization."
            " Have them at hand, and keep to them. The authority's circular AC 91-57C is of 20 October 2022, "
            "older than the statute's change of 16 May 2024: where they differ, the statute counts."
        ),
        "no-window": (
            "Airspace, notices, light and permissions hold for a time. Without a time nothing of it is known."
        ),
        "no-launch": (
            "The readout in the goggles counts from where the aircraft was armed, and the ground there "
            "must be yours to use."
        ),
        "no-aircraft": (
            "Weight and size decide about registration, Remote ID, people beneath, and how far it is seen."
        ),
        "notices-not-checked": (
            "Temporary restrictions are only published as notices, some of them hours before. Before "
            "each flight the pilot looks them up; no chart replaces that."
        ),
        "notices-too-old": (
            "A check of notices is good for as long as nothing new is published: look again shortly before."
        ),
        "notices-after-start": (
            "Notices are looked up before the flight. A check dated later than its start has not been made."
        ),
        "no-observer": (
            "Somebody must be able to see the aircraft unaided all the time: where it is, its attitude,"
            " its height and direction. Whoever wears goggles can't; a visual observer must, and must "
            "be able to say so at once."
        ),
        "observer-not-placed": "Whether the observer sees the aircraft depends on where the observer stands.",
        "observer-contact": "The observer warns the pilot: they must be able to talk, all the time.",
        "observer-not-beside": (
            "The observer of a recreational flight is co-located with the pilot and in direct "
            "communication. Under Part 107 effective communication is enough."
        ),
        "hidden-from-crew": (
            "The aircraft must be seen unaided throughout the flight. Ground, or a building or trees of "
            "known height, between an eye and the aircraft hides it, if only for a moment. For something "
            "thin, a mast or a tree, you may set a limit of your own in seconds; no rule knows one. Trees "
            "and buildings that no data holds are not checked."
        ),
        "barely-seen": (
            "Terrain has an error, stated by its publisher or assumed. Here the aircraft is seen over the "
            "ground as it is given, but would be hidden if the ground between were as much higher as the "
            "error allows. Half-way to the aircraft an error counts twice. Eye and aircraft hold their "
            "heights; within 100 m of the eye only part of the error counts (own choice), since whoever "
            "stands there stands on that ground."
        ),
        "behind-a-mast": (
            "A mast between an eye and the aircraft hides it for a moment, a lattice less. Charts of "
            "structures give neither width nor exact place, so this is told and timed for a width of 2 m, "
            "not judged."
        ),
        "too-far-to-see": (
            "Beyond the distance at which an aircraft can be found in this air it isn't seen, whatever was "
            "tried. The figure is an estimate of European guidance, 0.3 of the ground visibility, without "
            "legal force in the United States; the duty to see is the law's."
        ),
        "distance-not-tried": (
            "To see means to know where it is, its attitude, altitude and direction. How far away that works "
            "is estimated from the aircraft's size, without legal force; a range that the person has tried "
            "with this aircraft, with date and light, takes the estimate's place."
        ),
        "against-the-sun": (
            "Whoever looks near the sun is dazzled. Within 20 degrees the aircraft counts as looked at "
            "against the sun: common practice, no rule. It is judged for every minute of the window."
        ),
        "sight-not-known": (
            "Where the ground between an eye and the aircraft is not known, nobody can say if it is seen."
        ),
        "area-hidden": (
            "An area is flown freely: whoever watches must see the aircraft wherever in it it may be. Where "
            "only its lower part is hidden, staying above the height given keeps it in sight."
        ),
        "area-too-far": (
            "An area is flown freely: no place in it may be farther away than the aircraft can be seen."
        ),
        "area-not-tried": (
            "An area is flown freely: its farthest place must lie within the range that was tried or, "
            "without a trial, within the estimate."
        ),
        "area-sight-not-known": "Without known ground nobody can say what of the area is seen.",
        "area-seen-above": (
            "Low down the aircraft disappears behind the ground. Above the height given it stays in sight."
        ),
        "area-barely-seen": (
            "Part of the area is seen over the ground as it is given, but its low air would be hidden if the "
            "ground between were as much higher as the terrain's error, stated or assumed, allows. Where the "
            "crew stands and straight below the aircraft the ground lifts both, so it does not count there."
        ),
        "area-against-the-sun": (
            "An area is flown freely: the air over each of its places, from where it is seen up to the top, "
            "is held against the sun at every minute of the window. Within 20 degrees the aircraft counts as "
            "looked at against the sun: common practice, no rule. Where all of that air is, nobody knows if "
            "it is seen until a range was tried toward the sun; where some of it is, keep out of it."
        ),
        "area-sun": "Without a time nobody knows where the sun stands.",
        "no-visibility": (
            "The visibility on the ground decides how far away an aircraft can be found at all. Part 107 "
            "wants 3 statute miles at least, seen from the control station."
        ),
        "visibility-too-low": (
            "Under Part 107 the visibility from the control station is at least 3 statute miles."
        ),
        "flyer-not-placed": (
            "Under Part 107 the remote pilot and the person at the controls must be able to see the aircraft "
            "too, with goggles off; an observer further on does not cure that. With a Remote ID broadcast "
            "module whoever has the controls must be able to see it in any case. The observer of a "
            "recreational flight is co-located with whoever flies; without a place nobody can tell."
        ),
        "observer-stands-apart": (
            "The observer of a recreational flight is co-located with whoever flies and in direct talk."
        ),
        "goggles-scan": (
            "Other aircraft are met by eyes that look about. Through goggles nobody sees them coming: it is"
            " the observer who scans, by turns with watching the aircraft, or a second one."
        ),
        "nobody-watches": (
            "Through goggles the aircraft itself is not seen. Somebody of the crew who wears none watches it"
            " all the time: that is what makes such a flight lawful."
        ),
        "tasks-not-shared": (
            "The crew works together to scan the airspace for collision hazards and to know where the "
            "aircraft is by looking at it. Say beforehand who does what."
        ),
        "both-tasks-at-once": "Watching the aircraft and scanning the sky at once is allowed, and hard.",
        "no-light-by-dark": (
            "Under Part 107 an anti-collision light, seen for 3 statute miles, must be lit in civil twilight "
            "(the 30 minutes before sunrise and after sunset) and by night (the sun 6 degrees down). The two "
            "leave gaps or overlap by season: the light counts as wanted whenever the sun is down. For "
            "recreational flights the guidelines you follow decide; unlit, nobody sees the aircraft."
        ),
        "lights-by-dark": "While the sun is down the light must be on, and flash enough to avoid collisions.",
        "night-training": (
            "Night flying under Part 107 needs the test or training that covers it, done after 6 April 2021."
        ),
        "not-tried-by-dark": (
            "By dark only the light is seen: neither an estimate from the aircraft's size nor what was "
            "tried by day says anything of it. Only a range recorded as tried while the sun was down counts."
        ),
        "tried-in-other-light": "A range tried in daylight says little about dusk, and less about night.",
        "range-tried-long-ago": (
            "A tried range stands for the eyes, glasses and aircraft of its day. No rule says how long it"
            " holds; a year is common practice, and the plan may set another limit."
        ),
        "no-pilot-named": "Somebody is responsible for the flight, and decides. The plan should say who.",
        "no-charts": "Without charts nothing is known of whose airspace it is.",
        "paid-flight": (
            "The recreational exception holds for flights strictly for fun. A flight that is paid for, "
            "or that promotes a business, falls under Part 107, whoever owns the aircraft."
        ),
        "paid-not-said": (
            "The recreational exception holds for flights strictly for fun. A flight that is paid for, "
            "or that promotes a business, falls under Part 107, whoever owns the aircraft."
        ),
        "not-registered": (
            "Every unmanned aircraft is registered, with one exception: 0.55 lb (about 249.5 g) or less"
            " on take-off, with everything on board, and flown exclusively under the recreational "
            "exception. Under Part 107 even the lightest one is registered."
        ),
        "registration-ended": "A registration holds for a time, then it has to be renewed.",
        "registration-end-not-said": "A registration holds for a time, then it has to be renewed.",
        "marking-and-proof": (
            "The registration number stands on the outside of the aircraft, and proof of registration "
            "is shown to whoever may ask for it."
        ),
        "remote-id-not-said": (
            "An aircraft that is registered, or has to be, broadcasts who and where it is: built in, or"
            " by a module."
        ),
        "no-remote-id": (
            "An aircraft that is registered, or has to be, flies without Remote ID only inside an area "
            "recognized for that, or as the authority has authorized in writing. Below 0.55 lb under "
            "Part 107 it needs Remote ID all the same."
        ),
        "remote-id-exempt": (
            "Inside an area recognized for it no Remote ID is needed. Such an area is no airspace "
            "authorization, and no fixed flying site by itself."
        ),
        "safety-test": (
            "Whoever flies under the recreational exception has passed the aeronautical knowledge and "
            "safety test and shows the proof when asked."
        ),
        "no-certificate": (
            "Under Part 107 somebody with a remote pilot certificate is in command, or flies under the "
            "direct supervision of somebody who has one and can take over at once."
        ),
        "training-not-said": (
            "A certificate may be used for 24 calendar months after the test or the latest recurrent "
            "training: to the end of that month."
        ),
        "training-lapsed": (
            "A certificate may be used for 24 calendar months after the test or the latest recurrent "
            "training: to the end of that month. After that the training comes first."
        ),
        "training-not-yet": (
            "A test or training counts from the day on which it was passed. One dated after the flight has "
            "not been."
        ),
        "not-category-1": (
            "Category 1 means 0.55 lb or less on take-off and no exposed rotating parts that would "
            "lacerate skin. An open propeller is exposed, however light the aircraft is."
        ),
        "waiver-not-possible": (
            "The authority waives only what is listed for it: of part 107 sections 107.25, 107.29(a)(2) and "
            "(b), 107.31, 107.33, 107.35, 107.37(a), 107.39, 107.41, 107.51 and 107.145. Recklessness, "
            "alcohol, the preflight check and the aircraft's condition are not on it."
        ),
        "waiver-not-read": (
            "A waiver lifts what it names, so it is read strictly: sections of part 107 by their numbers, "
            "with commas or “and” between them. Anything else lifts nothing."
        ),
        "waiver-not-counted": (
            "Of what the authority may waive this program counts sight, light, people, moving vehicles, "
            "flying from a vehicle, and limits of height, speed and weather. Others change nothing here. "
            "What opens controlled airspace, a waiver of 107.41 too, is recorded as its authorization."
        ),
        "waiver-recreational": (
            "Waivers are of part 107. The recreational exception has its conditions in the statute; whoever "
            "wants to use a waiver flies by part 107, with its certificate."
        ),
        "guy-wires": (
            "Guyed masts stand on wires that spread far out and can't be seen in goggles. Records do "
            "not say where they run, and published ones not even whether there are any: so every "
            "tower, mast or antenna of 50 ft and more counts. Until you have looked, they are taken "
            "to reach out to 0.8 of the mast's height, in every direction: a rule of thumb."
        ),
        **ABSURD_WORDS,
        **FLIGHT_WORDS,
        **BENEATH_WORDS,
        **PERMISSION_WORDS,
        **TIME_WORDS,
    }
)


def plain_words(rule: str) -> str:
    """Return what a rule says; '' for one without words of its own."""
    return _DATA if rule.startswith("data-") else PLAIN_WORDS.get(rule, "")
