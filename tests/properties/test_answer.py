"""The answer depends on plan and world alone: on no order, and on no memory of earlier answers."""

import attrs
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import Memory, assess, assess_live, follow
from planner.plan.edits.path import DeletePoint, InsertPoint, MovePoint, SetLegShape, SetPointHeight
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from tests import worlds
from tests.random_worlds import heights, offsets, outlines, random_plans, random_worlds, unhurried
from tests.worlds import at


def said(answer):
    """What an answer says, without the objects it says it with."""
    return {
        "verdict": answer.verdict,
        "reason": answer.reason,
        "findings": answer.findings,
        "permissions": answer.permissions,
        "data": tuple((status.layer, status.state) for status in answer.data),
        "valid": answer.valid_until_utc,
        "ceiling": None if answer.profile is None else as_text(answer.profile.ceiling_amsl_m),
        "asked": None if answer.profile is None else as_text(answer.profile.requestable_amsl_m),
        "binding": None if answer.profile is None else (answer.profile.binding, answer.profile.binding_name),
        "area": answer.area,
    }


def as_text(values) -> tuple[str, ...]:
    return tuple(f"{value:.9f}" for value in values)


@unhurried(60)
@given(random_worlds(), random_plans(), st.randoms(use_true_random=False))
def test_the_answer_does_not_depend_on_any_order(charts, flight, random):
    def shuffled(values):
        return tuple(random.sample(values, len(values)))

    fields = ("airspace", "cells", "structures", "fixed_sites", "layers")
    mixed_charts = attrs.evolve(charts, **{name: shuffled(getattr(charts, name)) for name in fields})
    mixed = attrs.evolve(flight, permissions=shuffled(flight.permissions), crew=shuffled(flight.crew))
    assert said(assess(mixed, mixed_charts)) == said(assess(flight, charts))


@st.composite
def edits(draw, points: int):
    index = draw(st.integers(0, points - 1))
    return draw(
        st.one_of(
            st.builds(MovePoint, st.just(index), offsets.map(lambda offset: at(*offset))),
            st.builds(SetPointHeight, st.just((index,)), heights()),
            st.builds(InsertPoint, st.just(index), offsets.map(lambda offset: at(*offset)), heights()),
            st.builds(SetLegShape, st.just((min(index, points - 2),)), st.sampled_from(LegShape)),
            *([st.builds(DeletePoint, st.just(index))] if points > 2 else []),
        )
    )


@unhurried(60)
@given(st.data(), random_worlds(), random_worlds(), random_plans())
def test_a_memory_changes_the_speed_never_the_answer(data, charts, other, flight):
    memory = Memory()
    for step in range(data.draw(st.integers(1, 6))):
        kind = data.draw(st.integers(0, 9))
        if kind == 0:
            charts, other = other, charts
        elif kind == 1:
            flight = attrs.evolve(flight, purpose=data.draw(st.none() | st.sampled_from(Purpose)))
        elif kind == 2:
            flight = attrs.evolve(flight, permissions=flight.permissions[1:])
        elif kind == 3:
            flight = attrs.evolve(flight, launch=GroundSpot(at(*data.draw(offsets)), LandStatus.OWN))
        elif kind == 4:
            top = data.draw(st.none() | heights())
            flight = attrs.evolve(
                flight, area=attrs.evolve(worlds.area(data.draw(outlines()), None), top=top)
            )
        elif kind == 5:
            keys = data.draw(st.sampled_from([frozenset(), frozenset({"tower 0"})]))
            flight = attrs.evolve(flight, structures_standing=keys)
        elif kind == 6:
            flight = attrs.evolve(flight, window=data.draw(st.sampled_from([None, worlds.WINDOW])))
        else:
            flight = data.draw(edits(len(flight.path))).apply(flight)
        kept, fresh = assess_live(flight, charts, memory), assess_live(flight, charts)
        assert said(kept) == said(fresh), step
    # What follows knows no memory but what the live part was made with: asked once, at the end of all edits.
    assert said(follow(kept)) == said(follow(fresh))
