"""The layer of what the crew sees on the map: worked out by a worker for what is in view."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import attrs
import numpy as np
from PySide6.QtCore import QObject, Signal

from planner.assessment import Assessment
from planner.desk import palette
from planner.desk.document import Document
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import Box
from planner.desk.map_style import LayerLook
from planner.desk.picture_layer import PictureLayer
from planner.desk.saying import nearest_words, planned_words
from planner.plan.model import Plan

if TYPE_CHECKING:
    from planner.drawing.band_picture import BandPicture
    from planner.geo.frame import LocalFrame
    from planner.sight.planned_near import PlannedNear
    from planner.sight.watch import Watch

_TROUBLE = "What is seen could not be drawn; the plan and its check are not affected"
_MARGIN = 0.1
_WIDEST_DEG = 1.0

ANY_OBSERVER: Final = ""
WHOEVER_MUST: Final = "*"
"""No crew member's key: everybody whom the rules ask to see."""

SEEN_LAYER: Final = LayerLook(
    "seen",
    "What the observer sees",
    "Sight",
    {"stroke": palette.LIGHT.plan, "width": 1.0, "fill": palette.LIGHT.plan, "fill_opacity": 0.25},
    0,
    visible=False,
    note="To choose by: no finding rests on it; without the sun, and coarse",
)


@attrs.frozen
class SeenChoice:
    """Who looks (a crew member's key, any observer, or whoever must), and at what height above ground [m].

    Without a height it is the one planned nearest to each place.
    """

    who: str = ANY_OBSERVER
    above_m: float | None = None


@attrs.frozen(eq=False)
class SeenDrawn:
    """What a worker brought: the picture, and what answers for single places."""

    picture: "BandPicture"
    frame: "LocalFrame"
    groups: "tuple[tuple[Watch, ...], ...]"
    names: dict[str, str]
    planned: "PlannedNear"
    choice: SeenChoice
    missing: str

    @property
    def watches(self) -> "tuple[Watch, ...]":
        """All that were looked through, to use again."""
        return tuple(watch for group in self.groups for watch in group)


class MapSeen(PictureLayer[SeenDrawn]):
    """Draws the layer while it is switched on.

    `people_changed` carries key and name of everybody who watches from somewhere, `missing_changed` who
    must see and stands nowhere, in words.
    """

    people_changed = Signal(object)
    missing_changed = Signal(str)

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(document, canvas, _TROUBLE, canvas.set_seen, parent)
        self.choice = SeenChoice()
        self._kept: tuple[Watch, ...] = ()
        document.plan_changed.connect(self._tell_people)
        document.replaced.connect(self._tell_people)

    @property
    def people(self) -> dict[str, str]:
        """Everybody who watches from somewhere: key and name."""
        return people_of(self._document.plan)

    @property
    def missing(self) -> str:
        """Who must see it and stands nowhere, in words."""
        plan = self._document.plan
        if not plan.crew:
            # Nothing is drawn then, and the desk starts without the rules.
            return ""
        from planner.rules.must_see import missing_words

        return missing_words(plan)

    def choose(self, choice: SeenChoice) -> None:
        """Draw for somebody else, or another height."""
        if choice != self.choice:
            self.choice = choice
            self._again()

    def words_at(self, lon_deg: float, lat_deg: float) -> str:
        """Return who sees what at a position; '' while nothing is drawn."""
        if not self._on:
            return ""
        if self._last is None:
            return "" if self.people else "nobody who watches is on the map"
        return seen_words(self._last, lon_deg, lat_deg)

    def _tell_people(self) -> None:
        self.people_changed.emit(self.people)
        self.missing_changed.emit(self.missing)

    def _work(self, view: Box, side_px: int) -> Callable[[], SeenDrawn | None] | None:
        answer = self._document.assessment
        if answer.scene is None or not people_of(answer.plan):
            return None
        return partial(_worked_out, answer, view, side_px, self.choice, self._kept)

    def _on_done(self, drawn: SeenDrawn | None, trouble: str) -> None:
        if drawn is not None and self._on:
            self._kept = drawn.watches
        super()._on_done(drawn, trouble)

    def _clear(self) -> None:
        self._kept = ()
        super()._clear()


def people_of(plan: Plan) -> dict[str, str]:
    """Return key and name of everybody who watches from somewhere."""
    from planner.plan.role_words import name_or_role
    from planner.sight.answer import WATCHING_ROLES

    return {
        member.key: name_or_role(member, plan.purpose)
        for member in plan.crew
        if member.role in WATCHING_ROLES and member.place is not None
    }


def groups_of(answer: Assessment, who: str) -> tuple[tuple[str, ...], ...]:
    """Return the keys of those who look: all groups have to see, of a group one is enough."""
    from planner.plan.crew import Role
    from planner.rules.must_see import demanded_keys

    people = people_of(answer.plan)
    if who == WHOEVER_MUST and answer.case is not None and (demanded := demanded_keys(answer.case)):
        return demanded
    if who in people:
        return ((who,),)
    observers = tuple(member.key for member in answer.plan.crew_in(Role.OBSERVER) if member.key in people)
    return (observers or tuple(people),)


def seen_words(drawn: SeenDrawn, lon_deg: float, lat_deg: float) -> str:
    """Return in a few words what is seen at a position."""
    from planner.sight.seen_map import MapGrade, MapPlaces, seen_map

    x_m, y_m = drawn.frame.forward(np.array([lon_deg]), np.array([lat_deg]))
    above_m = _above(drawn.planned, drawn.choice, x_m, y_m)
    places = MapPlaces.over(drawn.watches[0].ground, x_m, y_m, above_m)
    seen = seen_map(drawn.groups, places, somebody_missing=bool(drawn.missing))
    grade, lowest_m, slant_m = MapGrade(int(seen.grade[0])), seen.lowest_agl_m[0], seen.slant_m[0]
    at, away = f"at {nearest_words(float(above_m[0]))}", f"{planned_words(float(slant_m))} away"
    low = "the ground" if lowest_m <= 0.0 else planned_words(float(lowest_m))
    words = {
        MapGrade.SEEN: f"seen {at}, down to {low}, {away}",
        MapGrade.HIDDEN: f"hidden {at}, seen from {low} up",
        MapGrade.UNTRIED: f"distance not tried, {away}",
        MapGrade.TOO_FAR: f"too far, {away}",
        MapGrade.UNKNOWN: "not known whether seen",
    }
    if drawn.missing and grade is MapGrade.UNKNOWN:
        return f"All who must: not known whether seen, without a place: {drawn.missing}"
    return f"{whose(drawn.groups, drawn.names, drawn.choice.who)}: {words[grade]}"


def whose(groups: "Sequence[Sequence[Watch]]", names: dict[str, str], who: str) -> str:
    """Return whose eyes the layer is about."""
    keys = list(dict.fromkeys(watch.viewer.key for group in groups for watch in group))
    if len(keys) == 1:
        return names.get(keys[0], keys[0])
    return "All who must" if who == WHOEVER_MUST and len(groups) > 1 else f"Any of {len(keys)} observers"


def _above(planned: "PlannedNear", choice: SeenChoice, x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
    return planned.at(x_m, y_m) if choice.above_m is None else np.full(x_m.shape, choice.above_m)


def _worked_out(
    answer: Assessment, view: Box, side_px: int, choice: SeenChoice, before: "tuple[Watch, ...]"
) -> SeenDrawn | None:
    from planner.drawing.mercator_lattice import lattice_over
    from planner.drawing.seen_picture import seen_picture
    from planner.rules.must_see import missing_words
    from planner.sight.answer import surfaces_of, viewer_of
    from planner.sight.fast_sweep import quickest_sweep
    from planner.sight.planned_near import PlannedNear
    from planner.sight.seen_map import MapPlaces, seen_map
    from planner.sight.watch import watches_of

    scene = answer.scene
    assert scene is not None
    mapped = scene.mapped
    bounds = _bounds(view, mapped.frame)
    keys = groups_of(answer, choice.who)
    crew = {member.key: member for member in answer.plan.crew}
    viewers = [viewer_of(answer.plan, crew[key], mapped) for key in dict.fromkeys(sum(keys, ()))]
    if bounds is None or not viewers:
        return None
    surfaces = surfaces_of(answer.plan, mapped, answer.world.ground_features)
    found = {watch.viewer.key: watch for watch in watches_of(viewers, surfaces, quickest_sweep(), before)}
    groups = tuple(tuple(found[key] for key in group) for group in keys)
    planned = PlannedNear(answer.track, answer.case.area_samples if answer.case else None)
    lattice = lattice_over(bounds, round(side_px * (1 + 2 * _MARGIN)))
    x_m, y_m = mapped.frame.forward(lattice.lon_deg, lattice.lat_deg)
    above_m = _above(planned, choice, x_m, y_m)
    places = MapPlaces.over(mapped.ground, x_m, y_m, above_m).spread(lattice.spread)
    missing = missing_words(answer.plan) if choice.who == WHOEVER_MUST else ""
    picture = seen_picture(seen_map(groups, places, somebody_missing=bool(missing)), places, bounds)
    return SeenDrawn(picture, mapped.frame, groups, people_of(answer.plan), planned, choice, missing)


def _bounds(view: Box, frame: "LocalFrame") -> Box | None:
    """Return the view and a little more, cut to what lies about the plan; None where nothing is left."""
    west, south, east, north = view
    wide, high = (east - west) * _MARGIN, (north - south) * _MARGIN
    origin = frame.origin
    cut = (
        max(west - wide, origin.lon_deg - _WIDEST_DEG),
        max(south - high, origin.lat_deg - _WIDEST_DEG, -85.0),
        min(east + wide, origin.lon_deg + _WIDEST_DEG),
        min(north + high, origin.lat_deg + _WIDEST_DEG, 85.0),
    )
    return cut if cut[0] < cut[2] and cut[1] < cut[3] else None
