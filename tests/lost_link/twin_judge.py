"""What the twin says of a plan in a world: by how much it may be above what is lawful, when, and by what."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

import attrs
import numpy as np

from planner.plan.model import Plan
from planner.world.world import World
from tests.lost_link.twin_air import TwinAir
from tests.lost_link.twin_area import MAYBE, TwinArea
from tests.lost_link.twin_path import Floats, TwinPath, Ways

SAMPLES_APART_M = 12.0
"""No two samples of a path lie farther apart over known ground (DEVELOPERS.md)."""
NOWHERE = -np.inf


@attrs.frozen
class Above:
    """By how much [m], in which phase, by which zone (-1: the height limit), and where it is."""

    depth_m: float
    phase: str
    zone: int
    place: tuple[float, float, float]


@attrs.frozen(eq=False)
class Answer:
    """The most of each phase and zone that is above for sure; the most that may be, of any; single ways.

    `single` is what is above on single ways, narrower than between places that are promised to be asked.
    `by_words_alone` is whether words settle all figures: how fast followed ground is flown along, and so
    how far on, hangs on how finely it is looked at; of an area a return's figure is told before a wait's.
    """

    surely: tuple[Above, ...]
    maybe: Above
    single: tuple[Above, ...]
    by_words_alone: bool


class Twin:
    """The twin's answer for one plan in one world."""

    def __init__(self, plan: Plan, world: World) -> None:
        self.plan, self.air = plan, TwinAir(plan, world)
        self.path = TwinPath(plan, self.air) if len(plan.path) > 1 else None
        self.area = TwinArea(plan, self.air) if plan.area is not None and plan.area.top is not None else None

    def drawn_above(self) -> Above:
        """By how much what is drawn may be above, or inside, without any doubt in its favour."""
        ways = [*(self.path.drawn() if self.path else ()), *(self.area.drawn() if self.area else ())]
        return max((self._most(one) for one in ways), key=lambda one: one.depth_m)

    def answer(self) -> Answer:
        maybe, surely, single = [], [], []
        groups: dict[tuple[str, int], list[Ways]] = defaultdict(list)
        for one in self._ways():
            maybe.append(self._most(one))
            if self.area is None or one.reading != MAYBE:
                groups[one.phase, one.leg].append(one)
        for (phase, _), readings in groups.items():
            for zone, (ways, depth, places) in self._by_zone(readings).items():
                widely = self._wide(ways, depth) if ways.sampled else depth
                for found, of in ((surely, widely), (single, depth)):
                    k = int(of.argmax())
                    found.append(Above(float(of[k]), phase, zone, places[k]))
        most = max(maybe, key=lambda one: one.depth_m)
        return Answer(_most_of_each(surely), most, _most_of_each(single), self._by_words_alone())

    def _by_words_alone(self) -> bool:
        return self.area is None and self.path is not None and not any(leg.follows for leg in self.path.legs)

    def _ways(self) -> Iterator[Ways]:
        if self.path is not None:
            yield from self.path.drawn()
            yield from self.path.followed()
            yield from self.path.lost()
        if self.area is not None:
            yield from self.area.drawn()
            yield from self.area.lost()

    def _most(self, ways: Ways) -> Above:
        told = self.air.unlawful(ways.x.ravel(), ways.y.ravel(), ways.z.ravel(), surely=False)
        k = int(told.depth_m.argmax())
        place = tuple(float(one.ravel()[k]) for one in (ways.x, ways.y, ways.z))
        return Above(float(told.depth_m[k]), ways.phase, int(told.zone[k]), place)

    def _by_zone(self, readings: list[Ways]):
        """By zone: ways, by how much each is above (k,), the least of all readings, and where."""
        first, found = readings[0], {}
        if len(readings) < first.readings:
            return {}
        each = [self._depths(one) for one in readings]
        lost = np.unique(np.concatenate([one.lost for one in readings])) if first.readings > 1 else None
        for zone in set.intersection(*(set(one) for one in each)):
            depth, places = each[0][zone]
            if lost is not None:
                depth = np.full(len(lost), np.inf)
                for one, by_zone in zip(readings, each, strict=True):
                    here = np.full(len(lost), NOWHERE)
                    here[np.searchsorted(lost, one.lost)] = by_zone[zone][0]
                    depth = np.minimum(depth, here)
                at = dict(zip(first.lost.tolist(), places, strict=True))
                places = [at.get(one, (np.nan,) * 3) for one in lost.tolist()]
            found[zone] = first if lost is None else attrs.evolve(first, lost=lost), depth, places
        return found

    def _depths(self, ways: Ways) -> dict[int, tuple[Floats, list[tuple[float, float, float]]]]:
        told = self.air.unlawful(ways.x.ravel(), ways.y.ravel(), ways.z.ravel(), surely=True)
        depth, zone = (one.reshape(ways.x.shape) for one in (told.depth_m, told.zone))
        found, rows = {}, np.arange(len(depth))
        for one in np.unique(zone[depth > 0.0]).tolist():
            there = np.where(zone == one, depth, NOWHERE)
            at = there.argmax(axis=1)
            places = np.column_stack([axis[rows, at] for axis in (ways.x, ways.y, ways.z)])
            found[one] = there[rows, at], [tuple(place) for place in places.tolist()]
        return found

    def _wide(self, ways: Ways, depth: Floats) -> Floats:
        """The least of all ways about each that some way is asked of for sure; of a leg's ends their own."""
        if self.area is not None:
            apart = np.hypot(ways.x[:, :1] - ways.x[:, 0], ways.y[:, :1] - ways.y[:, 0])
            return np.where(apart <= self.area.apart_m, depth, np.inf).min(axis=1)
        least = np.array(
            [depth[(ways.lost >= at) & (ways.lost <= at + SAMPLES_APART_M)].min() for at in ways.lost]
        )
        # Beyond the leg's end no window counts; its ends themselves are asked.
        least[ways.lost > ways.whole_m - SAMPLES_APART_M] = NOWHERE
        ends = (ways.lost == 0.0) | (ways.lost == ways.whole_m)
        return np.where(ends, np.maximum(least, depth), least)


def _most_of_each(found: Iterable[Above]) -> tuple[Above, ...]:
    kept: dict[tuple[str, int], Above] = {}
    for one in found:
        key = one.phase, one.zone
        if key not in kept or one.depth_m > kept[key].depth_m:
            kept[key] = one
    return tuple(kept.values())
