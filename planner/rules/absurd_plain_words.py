"""What the rules on absurd figures say, in plain words."""

from collections.abc import Mapping
from typing import Final

ABSURD_WORDS: Final[Mapping[str, str]] = {
    "power-too-low": (
        "To hold a weight up an aircraft throws air down, and that takes power even without any loss: the "
        "less, the wider its rotors or wings. None can be wider than the aircraft. Blades are dragged "
        "through the air at any speed, so cruise takes a quarter of the hover at the least, and no wing "
        "glides better than 1 in 60 (from memory). Below these figures nothing flies, so the answer is open "
        "where charge was reckoned from them; how near to them real motors and rotors come is an own choice, "
        "on the generous side: many measure the size from motor to motor."
    ),
    "cold-share-to-check": (
        "Every cell gives less of its capacity when it is cold. A share of nearly all of it holds for a pack "
        "that is kept warm, for as long as it is; on the way home it is as cold as the air."
    ),
    "measured-takes-more": (
        "What a flight took from the battery was measured; power in the hover and in cruise may come from "
        "anywhere. Where the measured flight took more, the answer rests on it. Where it took very much "
        "more, the two are not of one aircraft, or a figure is a slip, and nobody can say when to turn back."
    ),
    "measured-without-speed": (
        "What a flight takes hangs on its speed through the air: against the wind, or in a hurry, several "
        "times the hover. A measured flight stands for the speed at which it was flown, and for no other."
    ),
    "battery-too-much": (
        "Capacity times cells is energy, and energy weighs: some 220 Wh a kilogram in the best packs of "
        "polymer cells, 300 in lithium ion, 500 in no cell at all (from memory). A battery that would weigh "
        "more than 0.7 of the aircraft (own choice) is a slip of unit, and brings it home on paper only."
    ),
    "measured-beyond-battery": (
        "A measured flight stands for the power only with the battery that it was flown with, or one like it."
    ),
    "cell-resistance-too-low": (
        "The voltage sags by the resistance of the cells. Small cells have more of it than large ones: a "
        "figure far below the rule of thumb of their capacity hides the sag (own choice: a twelfth)."
    ),
    "airspeed-to-check": (
        "What wind is held hangs on the highest airspeed. Kilometres an hour typed as metres a second hold "
        "any storm. Cruise, climb and the return by itself are no faster than the highest airspeed: where "
        "they are, one of the two is wrong, and the answer is open where anything was reckoned with them."
    ),
    "size-to-check": (
        "How far away the aircraft is seen is reckoned from its size, what it does to people from its "
        "weight. One that would weigh less than air about it, or more than a brick, has a slip in one."
    ),
    "drag-area-to-check": (
        "What falls drifts with the wind for as long as it falls. A drag area that is too small lets it fall "
        "like a dart, and hides the drift."
    ),
    "visibility-to-check": (
        "How far away the aircraft is found at all is 0.3 of the visibility. Reports end at 10 miles as a "
        "rule; 50 miles (own choice) are rare anywhere."
    ),
    "tried-range-to-check": (
        "Normal sight, 20/20, tells apart one minute of arc. An aircraft that is smaller than that from "
        "where it was tried is a dot at best; nobody can tell how it flies. By dark "
        "its light counts, not its size."
    ),
    "sensitivity-to-check": (
        "Everything warm radiates noise into a receiver, the more, the wider the signal. A picture takes a "
        "megahertz at the least, an analog one five, and a thousand bits a second steer nothing below "
        "-146 dBm (Shannon's bound). What is below leaves the answer open where the link was reckoned with "
        "it."
    ),
    "antenna-to-check": (
        "Gain is had by pointing one way, and takes size: none is larger than the aircraft that carries it, "
        "and the wider its dish, the narrower the beam on the ground. A gain that its size forbids leaves "
        "the answer open where the link was reckoned with it."
    ),
    "radio-power-to-check": (
        "Watts typed for milliwatts carry a picture over any ridge. More than 5 W (own choice) hardly flies; "
        "whether a rule opens a band to it is told apart."
    ),
    "antenna-height-to-check": (
        "A pilot who stands holds the antenna as high as a head. Higher than 10 m (own choice) takes a mast, "
        "and a height above the sea typed for one above the ground looks over every ridge."
    ),
    "own-limit-small": (
        "Limits that no rule knows are yours to set. Where yours keeps less than is usual it is said, so "
        "that nobody takes it for what is usual."
    ),
}
