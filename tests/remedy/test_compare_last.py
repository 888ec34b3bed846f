"""How a plan stood the last time, and why it stands otherwise now."""

from datetime import UTC, datetime, timedelta

import pytest

from planner.geo.heights import AboveGround
from planner.permission.need import PermissionNeed
from planner.plan import edits
from planner.remedy.compare_last import MOST_CAUSES, since, standing_of
from planner.rules.finding import Finding
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from tests import worlds
from tests.remedy.comparing import NARROW, judged
from tests.worlds import START

DAY = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)
STALE = worlds.world(
    layers=worlds.layers(
        class_airspace=worlds.layer(LayerName.CLASS_AIRSPACE, expires_utc=START - timedelta(days=1))
    )
)
CLOSED = worlds.world(airspace=(worlds.volume(AirspaceKind.PROHIBITED, outline=NARROW, name="KEEP OUT"),))
ASKS = worlds.world(airspace=(worlds.volume(outline=NARROW, name="FIELD"),), cells=(worlds.cell(400),))


def told(before, now):
    return since(standing_of(before, DAY), now)


@pytest.mark.parametrize("world", [None, STALE, CLOSED, ASKS])
def test_the_same_verdict_is_no_news(world):
    assert told(judged(world=world), judged(world=world)) is None


def test_charts_that_ran_out_are_named():
    news = told(judged(), judged(world=STALE))
    assert (news.was.verdict, news.now) == (Verdict.READY, Verdict.UNDETERMINED)
    assert news.was.at_utc == DAY
    assert news.why.startswith("Data on class airspace")
    assert isinstance(news.cause, Finding)


def test_a_permission_that_is_needed_now_is_named():
    news = told(judged(), judged(world=ASKS))
    assert news.why == "FIELD"
    assert isinstance(news.cause, PermissionNeed)


def test_what_stood_in_the_way_before_is_not_the_new_cause():
    both = worlds.world(airspace=CLOSED.airspace, layers=STALE.layers)
    news = told(judged(world=STALE), judged(world=both))
    assert (news.was.verdict, news.now) == (Verdict.UNDETERMINED, Verdict.MUST_CHANGE)
    assert "KEEP OUT" in news.why
    assert "class airspace" not in news.why


def test_what_stands_in_the_way_no_more_is_named_as_gone():
    news = told(judged(world=STALE), judged())
    assert news.now is Verdict.READY
    assert news.why.startswith("no longer in the way: Data on class airspace")
    assert news.cause is None


def test_other_figures_are_the_same_cause():
    high = edits.SetPointHeight([0, 1], AboveGround(150.0)).apply(worlds.plan())
    higher = edits.SetPointHeight([0, 1], AboveGround(170.0)).apply(worlds.plan())
    keys = [{cause.key for cause in standing_of(judged(plan), DAY).causes} for plan in (high, higher)]
    assert keys[0] == keys[1] != set()


def test_what_is_kept_is_bounded():
    # Names without figures, since figures are no part of a key.
    names = [f"{chr(65 + k // 26)}{chr(65 + k % 26)} {'x' * 400}" for k in range(60)]
    many = tuple(
        worlds.volume(AirspaceKind.PROHIBITED, worlds.disc(60.0, (16.0 * k - 480, 0), 16), name=name)
        for k, name in enumerate(names)
    )
    standing = standing_of(judged(world=worlds.world(airspace=many)), DAY)
    assert len(standing.causes) == MOST_CAUSES
    assert max(len(cause.key) for cause in standing.causes) <= 160
