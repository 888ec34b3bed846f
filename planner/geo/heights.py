"""Heights of different kinds are different types and never mix as floats.

Arrays of heights carry the kind in their name (`_amsl_m`, `_agl_m`) instead.
"""

import math
from typing import Literal

import attrs

from planner.errors import PlanError

HeightReference = Literal["above-ground", "above-launch", "above-sea-level"]

LOWEST_M = -500.0
HIGHEST_M = 10_000.0


def _plausible(_owner: object, _field: object, value: float) -> None:
    if not math.isfinite(value) or not LOWEST_M <= value <= HIGHEST_M:
        raise PlanError(
            f"height of {value} m is not between {LOWEST_M:.0f} and {HIGHEST_M:.0f} m",
            remedy="give a finite height in metres",
        )


@attrs.frozen
class AboveGround:
    """Height above the ground straight below, AGL [m]."""

    m: float = attrs.field(converter=float, validator=_plausible)


@attrs.frozen
class AboveLaunch:
    """Height above the place where the aircraft was armed [m]."""

    m: float = attrs.field(converter=float, validator=_plausible)


@attrs.frozen
class AboveSeaLevel:
    """Height above mean sea level, AMSL, in the terrain's vertical datum [m]."""

    m: float = attrs.field(converter=float, validator=_plausible)


Height = AboveGround | AboveLaunch | AboveSeaLevel

_TYPES: dict[str, type[AboveGround] | type[AboveLaunch] | type[AboveSeaLevel]] = {
    "above-ground": AboveGround,
    "above-launch": AboveLaunch,
    "above-sea-level": AboveSeaLevel,
}


def height_of(reference: str, metres: float) -> Height:
    """Return the height of the kind that `reference` names.

    Raises
    ------
    PlanError
        If the reference is unknown or the figure is not a plausible height.
    """
    try:
        kind = _TYPES[reference]
    except KeyError:
        raise PlanError(
            f"a height has the unknown reference {reference!r}", remedy=f"use one of {', '.join(_TYPES)}"
        ) from None
    return kind(metres)


def reference_of(height: Height) -> HeightReference:
    """Return the name by which files know the kind of `height`."""
    match height:
        case AboveGround():
            return "above-ground"
        case AboveLaunch():
            return "above-launch"
        case AboveSeaLevel():
            return "above-sea-level"
