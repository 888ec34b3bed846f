"""Pieces of rays that nobody looks at hold nothing greater.

Sources: the functions themselves, asked every few centimetres of each piece through the bilinear surface;
and the same question with no piece left out.
"""

import numpy as np
import pytest

from planner.flight import pieces
from planner.flight.fan import HIGHEST_GROUND, Question, greatest_along
from planner.flight.pieces import Pieces
from planner.flight.radio_path import _by_both, _by_rest, _by_share
from planner.flight.rays import Fan, RaysInRaster
from tests.flight.scenes import level, points, track_over
from tests.worlds import GROUND_M, terrain

CELL_M = 10.0


@pytest.fixture(scope="module")
def scene():
    """Rough hills, a hub near the ground, and rays to low and high ends all round it."""
    random = np.random.default_rng(5)

    def hills(x, y):
        return GROUND_M + 40 * np.sin(x / 170) * np.cos(y / 130) + random.uniform(0, 3, x.shape)

    way = points((-900, -900, level(GROUND_M + 300)), (900, 900, level(GROUND_M + 300)))
    track, mapped = track_over(terrain(hills, cell_m=CELL_M), way)
    hub = float(track.x_m.mean()), float(track.y_m.mean())
    bearing, far = random.uniform(0, 2 * np.pi, 60), random.uniform(15, 800, 60)
    # One along a row of the raster's nodes, or nearly so, and one that leads nowhere.
    bearing[:2], far[2] = (np.pi / 2, np.pi), 0.0
    fan = Fan(hub, hub[0] + far * np.sin(bearing), hub[1] + far * np.cos(bearing))
    base = float(mapped.ground.ground(*(np.array([one]) for one in hub))[0]) + 1.5
    ends = mapped.ground.ground(fan.x_m, fan.y_m) + random.choice([0.5, 10.0, 60.0], 60)

    def line(ray, share):
        return (base + (ends[ray] - base - 2.0) * share + 2.0 * share**2).astype(share.dtype)

    return fan, mapped.ground, line


QUESTIONS = {
    "the ground": lambda line: HIGHEST_GROUND,
    "a wave": lambda line: Question(line, (_by_share, _by_rest, _by_both)),
}


def test_no_function_is_anywhere_over_a_piece_more_than_its_bound(scene):
    fan, ground, line = scene
    lie = RaysInRaster.of(fan, ground)
    weights = (_by_share, _by_rest, _by_both)
    found = Pieces.of(lie, line, weights)
    begins = found.cut.begins
    for row, first in enumerate(begins.tolist()):
        last = first + int(found.cut.count[row])
        ray = found.cut.rays[row : row + 1]
        for piece in range(first, last):
            share = np.linspace(*np.clip(found.cut.share[[piece, piece + 1]], 1e-6, 1 - 1e-6), 25)[:, None]
            above = lie.ground_m(ray, share.astype(float)) - line(ray, share.astype(float))
            for k, weigh in enumerate(weights):
                assert (weigh(share.astype(float)) * above).max() <= found.most[k, piece]


@pytest.mark.parametrize("asked", QUESTIONS)
def test_leaving_pieces_out_changes_no_answer(scene, asked, monkeypatch):
    fan, ground, line = scene
    quickly = greatest_along(fan, (ground,), QUESTIONS[asked](line))
    left_out = []
    really = Pieces.may_exceed

    def all_of_them(self, found):
        left_out.append(1.0 - really(self, found).mean())
        return np.ones(self.most.shape[1], dtype=bool)

    monkeypatch.setattr(pieces.Pieces, "may_exceed", all_of_them)
    thoroughly = greatest_along(fan, (ground,), QUESTIONS[asked](line))
    assert left_out[0] > 0.3
    # What lies below the line has no meaning but in the last function.
    for k, (quick, thorough) in enumerate(zip(quickly.value, thoroughly.value, strict=True)):
        counts = thorough > 0.0 if k < len(quickly.value) - 1 else np.ones(len(fan), dtype=bool)
        assert quick[counts] == pytest.approx(thorough[counts], abs=1e-3, rel=1e-5, nan_ok=True)
