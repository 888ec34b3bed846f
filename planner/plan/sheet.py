"""What only the printed sheet needs to know; nothing here changes the verdict."""

from typing import Final

import attrs

from planner.geo.place import Place
from planner.plan.checks import not_empty, positive, within

# Longer waits would leave the aircraft to itself; shorter ones cannot be counted aloud.
_SHORTEST_S, _LONGEST_S = 1.0, 120.0


@attrs.frozen
class Landmark:
    """What the observer faces: twelve o'clock lies toward it."""

    name: str = attrs.field(validator=not_empty("the name of a landmark"))
    place: Place


LOST_LANDS_S: Final = 5.0
"""Not seen for so long means landing, and no own limit for being hidden is longer: own choice."""


@attrs.frozen
class CallTimes:
    """After how many seconds a call is followed by the next thing.

    Parameters
    ----------
    seen_every_s : the observer says unasked that they see the aircraft.
    fading_s : fading for this long counts as lost.
    lost_s : lost for this long means landing.
    traffic_s : traffic that is not clear after this means landing.
    blind_s : a picture that is not back after this means landing.
    """

    seen_every_s: float = attrs.field(
        default=15.0, validator=within(_SHORTEST_S, _LONGEST_S, "a call's time")
    )
    fading_s: float = attrs.field(default=5.0, validator=within(_SHORTEST_S, _LONGEST_S, "a call's time"))
    lost_s: float = attrs.field(
        default=LOST_LANDS_S, validator=within(_SHORTEST_S, _LONGEST_S, "a call's time")
    )
    traffic_s: float = attrs.field(default=10.0, validator=within(_SHORTEST_S, _LONGEST_S, "a call's time"))
    blind_s: float = attrs.field(default=5.0, validator=within(_SHORTEST_S, _LONGEST_S, "a call's time"))


@attrs.frozen
class SheetNotes:
    """Notes for the sheet; '' and None are not said.

    `most_wind_mps` and `most_gust_mps` are the pilot's own limits [m/s].
    `on_foot` is what to look for on foot before arming.
    """

    landmark: Landmark | None = None
    calls: CallTimes = CallTimes()
    most_wind_mps: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the most wind"))
    )
    most_gust_mps: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("the strongest gust"))
    )
    gate: str = ""
    emergency_number: str = ""
    first_aid: str = ""
    extinguisher: str = ""
    on_foot: str = ""
    insurance: str = ""
    landowner_contact: str = ""
