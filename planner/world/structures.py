"""Structures: as an allowance to fly by, and as obstacles to clear."""

import re
from typing import Final

import attrs

from planner.geo.place import Place
from planner.units import FOOT_M, ft_from_m
from planner.world.layers import LayerRecord

LOWEST_GUYED_M: Final = 50 * FOOT_M
"""From this height on a mast whose record is silent may be guyed: an own choice, no rule gives one."""
UNSTATED_ERROR_M: Final = 30.0
"""Taken where a record does not state how far off it may be: a rule of thumb."""
_OF_RECORD: Final = " as on record: "
_SLIM = re.compile(r"\b(tower|mast|antenna)\b", re.IGNORECASE)


@attrs.frozen
class Structure:
    """A record of a structure.

    Parameters
    ----------
    top_amsl_m, height_agl_m : float or None
        Uppermost limit [m AMSL] and height [m AGL]; None where not given.
    horizontal_error_m, vertical_error_m : float or None
        Accuracy of the record [m]; None where unknown: it then gives no allowance.
    guyed, without_guys : bool
        What the record says of guy wires; published obstacle files say nothing.
    unverified : bool
        The publisher has not verified the record.
    count : int
        How many structures stand in the record, at the one place it gives: which of them stands just
        there, and which is as high as it says, is left open. 0: not known, as imported before it was kept.
    is_point_of_line : bool
        A catenary is one point with no direction and gives no allowance.
    dismantled : bool
        The record says that the structure is gone.
    told_by : tuple of LayerRecord
        The records of the layers that hold it.
    """

    key: str
    kind: str
    place: Place
    top_amsl_m: float | None
    height_agl_m: float | None
    horizontal_error_m: float | None = None
    vertical_error_m: float | None = None
    guyed: bool = False
    is_point_of_line: bool = False
    dismantled: bool = False
    name: str = ""
    without_guys: bool = False
    unverified: bool = False
    count: int = 1
    told_by: tuple[LayerRecord, ...] = attrs.field(default=(), eq=False, repr=False)

    @property
    def standing_key(self) -> str:
        """Under which a plan keeps the pilot's word that it stands.

        A record of several, or of nobody knows how many, asks for more than that one stands: for another
        word than a record of one.
        """
        if self.count == 1:
            return self.key
        return f"{self.key} ({self.count} in one record)" if self.count else f"{self.key} (how many not kept)"

    @property
    def standing_word(self) -> str:
        """What a plan keeps when the pilot says that it stands: its `standing_key`, and of which record.

        Of a record that gives another height, kind or place, or is no longer verified, nothing was said then.
        """
        top = "no top" if self.top_amsl_m is None else f"top {self.top_amsl_m:.1f} m"
        high = "no height" if self.height_agl_m is None else f"{self.height_agl_m:.1f} m high"
        place = f"{self.place.lat_deg:.4f} {self.place.lon_deg:.4f}"
        doubt = ", not verified" if self.unverified else ""
        return f"{self.standing_key}{_OF_RECORD}{self.kind}, {top}, {high}, at {place}{doubt}"

    def stands_by(self, words: frozenset[str]) -> bool:
        """Whether the pilot's words hold that it stands; one that names no record is of whichever it is."""
        return bool(words) and (self.standing_key in words or self.standing_word in words)

    def words_on(self, words: frozenset[str]) -> frozenset[str]:
        """Return those of the pilot's words that are on this structure, of whatever record."""
        begins = f"{self.key}{_OF_RECORD}", f"{self.key} ("
        return frozenset(one for one in words if one == self.key or one.startswith(begins))

    @property
    def wires_record(self) -> str:
        """What the record says of height and guy wires: of which record the pilot's word on them is."""
        high = "no height" if self.height_agl_m is None else f"{self.height_agl_m:.1f} m"
        return (
            f"{high}, {'guyed' if self.guyed else 'without guys' if self.without_guys else 'silent on guys'}"
        )

    @property
    def to_confirm(self) -> str:
        """What the pilot has to have seen before it may raise a limit."""
        if self.count == 1:
            return "it still stands as recorded"
        if not self.count:
            return "it still stands just where the record says, alone or as the highest of several"
        return f"the highest of its {self.count} structures still stands, and just where the record says"

    @property
    def may_be_guyed(self) -> bool:
        """Whether guy wires may stand about it: its record says so, or leaves it open for a slim mast."""
        if self.guyed or self.without_guys or self.height_agl_m is None:
            return self.guyed
        return self.height_agl_m >= LOWEST_GUYED_M and _SLIM.search(self.kind) is not None

    @property
    def label(self) -> str:
        """What people call it: its name, else its kind and height in feet."""
        if self.name or self.height_agl_m is None:
            return self.name or self.kind
        return f"{self.kind} of {round(ft_from_m(self.height_agl_m)):,} ft"
