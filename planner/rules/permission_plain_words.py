"""What the rules on permissions say, in plain words."""

from collections.abc import Mapping
from typing import Final

PERMISSION_WORDS: Final[Mapping[str, str]] = {
    "airspace-authorization": (
        "In Class B, C and D airspace, and in the surface area of Class E airspace designated for "
        "an airport, nobody flies without prior authorization. What can be asked for through the "
        "automated service is the lowest facility map value that the flight touches. Above it Part "
        "107 has further coordination; a recreational flight asks the authority or flies at a fixed"
        " site under its agreement. Ways that are not drawn and on lost link, home or down where it is, are "
        "flown, too: their height, their cells and the airspace that they alone enter are asked for with "
        "the rest."
    ),
    "no-facility-map-value": (
        "Inside controlled airspace the facility map says how much the automated service may grant."
        " The statute itself names no height for recreational flights there, so without the map "
        "nobody can say."
    ),
    "permission-on-record": (
        "A permission on record covers the flight in place, height and time. It holds with its "
        "conditions, and only as long as it is not withdrawn."
    ),
    "closed-airspace": (
        "Prohibited and restricted areas, security restrictions and temporary restrictions are "
        "closed while they are active, unless the using or controlling agency has given its "
        "permission. Limits, times and agency are those of the charts; notices change them."
    ),
    "closed-at-times": (
        "Some restrictions stand for hours or days only: an event, a fire, a firing range in use. Without a "
        "time for the flight nobody can say whether it meets one that is active."
    ),
    "class-e-extension": (
        "Whether a Class E extension (E3, E4) belongs to the surface area for which authorization "
        "is needed is answered differently by the authority's own papers. Only the authority's "
        "answer counts, as far, as high and as long as its record says; what falls short is named."
    ),
    "class-e-recreational": (
        "The law lets recreational flights into Class G, and with authorization into the surface area "
        "of an airport. Other Class E mostly begins at 700 or 1,200 ft above ground, lower over high "
        "ground. Whether it is open to them the law does not say; only the authority's answer counts, as "
        "far, as high and as long as its record says. Under its floor nobody has to be asked."
    ),
    "permission-conditions": (
        "A permission holds with its conditions. What they ask for can't be judged here, so they are "
        "repeated for you to keep, and for everybody who takes part to know."
    ),
    "waiver-not-in-time": (
        "A waiver lifts what it names from its first day to its last. It counts only if it holds for all of "
        "the flight's time window."
    ),
    "waiver-falls-short": (
        "A waiver lifts what it names for the operation that its paper describes. It counts only where the "
        "flight stays inside the outline that is on record, and under its height if it names one. What "
        "binds all of the flight, such as sight, light and speed, it lifts only if all of the flight does."
    ),
    "permission-beyond-cells": (
        "The automated service grants no more than the lowest facility map value that the outline asked "
        "for touches, and for that outline alone. A record entered without one would count wherever the "
        "flight is moved inside the airspace, onto a value of 0 ft as well."
    ),
    "permission-without-end": (
        "Authorizations, waivers and agreements mostly end on a day that their paper names. Where none is "
        "entered, the record counts as long as you leave it."
    ),
    "agreement-for-authorization": (
        "At a fixed site recreational flights need no authorization of their own: the site has told the "
        "authority where it is and agreed a procedure with it. The agreement is not an authorization: it "
        "holds inside the site, for who keeps its procedure, and whoever asks wants to see its paper."
    ),
    "stadium-near": (
        "About league and college games and certain races in stadiums of 30,000 seats and more, 3 nautical "
        "miles round it are closed up to 3,000 ft, from an hour before the game to an hour after. A chart of "
        "stadiums knows no games: where no current list of them covers place and time, look them up. "
        "A stadium whose seats nobody has counted counts as large enough."
    ),
}
