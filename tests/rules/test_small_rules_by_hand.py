"""Small rules asked directly: what may be relied on, what is entered, closed land, channels, limits, waivers.

Sources beside each; that granting data which is stale grants nothing, and what is named when, is our own.
"""

import math
from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.flight.channels import Channel, Clash, ClashKind
from planner.permission.need import Subject
from planner.permission.time_fault import time_fault
from planner.plan.aircraft import RadioUse
from planner.plan.beneath import OtherPilot
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules import channels as channel_rule
from planner.rules import flown as flown_rule
from planner.rules.channels import channels, channels_given
from planner.rules.data_status import data_status
from planner.rules.finding import Mark
from planner.rules.flown import flown, judged
from planner.rules.land import closed_land, land_settled
from planner.rules.limits import limits_not_known
from planner.rules.usable import reliable_records, usable_world
from planner.rules.waivers import waivers
from planner.world.airspace import LimitReference, VerticalLimit
from planner.world.layers import LayerName
from planner.world.sites import ClosedLand
from tests.rules.hand_flown import VIDEO
from tests.rules.hand_made import complete
from tests.rules.hand_made import judged as judged_case
from tests.worlds import (
    START,
    above_ground,
    at,
    box,
    cell,
    fixed_site,
    layer,
    layers,
    plan,
    record,
    volume,
    world,
)  # fmt: skip

CASE = complete()
HOUR = timedelta(hours=1)

# ---- what may be relied on

SITES, CELLS = LayerName.FIXED_SITES, LayerName.FACILITY_MAP


def kept(cells_record=None, sites_record=None, **given):
    """What is left of one cell, one site and one airspace by the state of their layers."""
    records = layers(
        facility_map=layer(CELLS) if cells_record is None else layer(CELLS, **cells_record),
        fixed_sites=layer(SITES) if sites_record is None else layer(SITES, **sites_record),
    )
    charts = world(
        layers=records, cells=(cell(200.0),), fixed_sites=(fixed_site(),), airspace=(volume(),), **given
    )
    flight = plan()
    return usable_world(charts, data_status(flight, charts), reliable_records(flight, charts))


SMALL = box(-5_000, -5_000, 0, 5_000)


@pytest.mark.parametrize(
    ("record_changes", "cells", "sites"),
    [
        ({}, 1, 1),
        ({"expires_utc": START - HOUR}, 0, 0),
        ({"effective_utc": START + 9 * HOUR}, 0, 0),
        ({"damage": "torn"}, 0, 0),
        # A facility map without dates, or about a part, still shows its values; a site is not told by such.
        ({"expires_utc": None}, 1, 0),
        ({"coverage": SMALL}, 1, 0),
        ({"coverage": None}, 1, 0),
    ],
)
def test_granting_data_that_does_not_hold_grants_nothing(record_changes, cells, sites):
    left = kept(record_changes, record_changes)
    assert (len(left.cells), len(left.fixed_sites)) == (cells, sites)
    # What restricts counts until it is known to be gone.
    assert len(left.airspace) == 1


def test_of_two_records_only_what_the_good_one_tells_of_is_left():
    good, old = layer(SITES, source="new"), layer(SITES, source="old", expires_utc=START - HOUR)
    told = {"good": frozenset({good}), "old": frozenset({old}), "both": frozenset({good, old})}
    features = tuple(attrs.evolve(fixed_site(), key=key, told_by=by) for key, by in told.items())
    charts = world(layers=(*layers(fixed_sites=None), good, old), fixed_sites=features)
    flight = plan()
    assert reliable_records(flight, charts) & {good, old} == {good}
    left = usable_world(charts, data_status(flight, charts), reliable_records(flight, charts))
    assert [one.key for one in left.fixed_sites] == ["good", "both"]
    names = {one.name for one in reliable_records(flight, charts)}
    assert LayerName.CLASS_AIRSPACE not in names


# ---- what is entered


def test_path_area_and_spots_are_each_asked(monkeypatch):
    free = judged_case(plan())
    asked = []
    monkeypatch.setattr(
        flown_rule, "entered", lambda _volume, _inside, samples: asked.append(samples) or [False]
    )

    class Samples:
        def inside_outline(self, _column):
            return np.array([True])

    path, over, spots = Samples(), Samples(), Samples()
    made = attrs.evolve(free, track=path, area_samples=over, area="judged", spots=spots)
    assert list(judged(made)) == [path, over, spots]
    assert list(judged(attrs.evolve(made, area=None))) == [path, spots]
    assert list(judged(attrs.evolve(made, area_samples=None))) == [path, spots]
    assert list(judged(attrs.evolve(made, track=None, spots=None))) == [over]
    assert not flown(made, 0, None)
    assert asked == [path, over, spots]
    for where in (path, over, spots):
        monkeypatch.setattr(
            flown_rule, "entered", lambda _v, _i, samples, where=where: np.array([False, samples is where])
        )
        assert flown(made, 0, None)


# ---- ground


def standing_on(outline, **changes):
    crew = (
        attrs.evolve(plan().crew[0], name="Ash", place=at(500, 0)),
        attrs.evolve(plan().crew[1], place=None),
    )
    spots = {
        "launch": GroundSpot(at(0, 0), LandStatus.OWN),
        "landing": GroundSpot(at(0, 500), LandStatus.OWN),
    }
    flight = attrs.evolve(CASE.plan, **{"crew": crew, **spots, **changes})
    charts = attrs.evolve(CASE.world, closed_lands=(ClosedLand("p", "PARK", outline),))
    return list(closed_land(attrs.evolve(CASE, plan=flight, world=charts)))


@pytest.mark.parametrize(
    ("centre", "words"),
    [
        ((0, 0), "The launch point lies in it."),
        ((0, 500), "The landing point lies in it."),
        ((500, 0), "Ash stands in it."),
    ],
)
def test_where_somebody_stands_on_closed_land_is_a_stop(centre, words):
    """36 CFR 1.5 (standing B): launching, landing or operating from or on them."""
    east, north = centre
    (one,) = standing_on(box(east - 10, north - 10, east + 10, north + 10))
    assert (one.rule, one.mark, one.message) == ("closed-land", Mark.STOP, words)


def test_closed_land_beneath_is_a_note_and_far_off_nothing():
    (one,) = standing_on(box(-300, -10, -200, 10))
    assert (one.rule, one.mark) == ("closed-land-near", Mark.NOTE)
    assert not standing_on(box(-9_000, -10, -8_000, 10))
    nameless = attrs.evolve(plan().crew[0], name="", place=at(500, 0))
    (one,) = standing_on(box(490, -10, 510, 10), crew=(nameless,))
    assert one.message == "pilot stands in it."
    assert len(standing_on(box(-10, -10, 510, 510))) == 3
    bare = {"path": (), "launch": None, "landing": None, "crew": (), "area": None}
    assert not standing_on(box(-300, -10, -200, 10), **bare)


def test_only_ground_is_told_as_ground():
    (need,) = judged_case(plan(), world(airspace=(volume(),))).needs
    land = attrs.evolve(need, subject=Subject.LAND, airspace="launch point")
    (one,) = land_settled(attrs.evolve(CASE, needs=(need, land)))
    assert (one.rule, one.mark) == ("land-not-settled", Mark.ACT)
    assert one.title == "Ground of the launch point not settled"


# ---- channels


def shared(kind, *pilots, monkeypatch):
    everyone = tuple(Channel(name, 5_800.0, 20.0) for name in pilots)
    monkeypatch.setattr(channel_rule, "channels_of", lambda _plan: everyone)
    monkeypatch.setattr(channel_rule, "own_channels", lambda _plan: everyone[:1])
    clash = Clash(kind, tuple(range(len(pilots))), 0.0)
    monkeypatch.setattr(channel_rule, "clashes", lambda _everyone: (clash,))
    flight = attrs.evolve(CASE.plan, other_pilots=(OtherPilot("Ash", 5_800.0),))
    (one,) = channels(attrs.evolve(CASE, plan=flight))
    return one


OWN = channel_rule.OWN


@pytest.mark.parametrize(
    ("kind", "pilots", "mark", "title", "words"),
    [
        (ClashKind.SAME, (OWN, "Ash"), Mark.STOP, "Two pilots on one channel", "takes the other's picture"),
        (ClashKind.SAME, (OWN, OWN), Mark.STOP, "Two of your own on one channel", "so neither can be seen"),
        (ClashKind.SAME, ("Ash", "Jo"), Mark.ACT, "Two pilots on one channel", "takes the other's picture"),
        (ClashKind.OVERLAP, (OWN, "Ash"), Mark.STOP, "Video channels disturb each other", "so they overlap"),
        (ClashKind.OVERLAP, ("Ash", "Jo"), Mark.ACT, "Video channels disturb each other", "so they overlap"),
        (
            ClashKind.MIXED,
            (OWN, "Ash", "Jo"),
            Mark.ACT,
            "Video channels disturb each other",
            "makes 5800 MHz, which meets Jo 5800 MHz.",
        ),
    ],
)
def test_who_shares_the_own_channel_blinds(kind, pilots, mark, title, words, monkeypatch):
    one = shared(kind, *pilots, monkeypatch=monkeypatch)
    assert (one.rule, one.mark, one.title) == ("channels-clash", mark, title)
    assert words in one.message


@pytest.mark.parametrize(
    ("order", "apart_mhz", "words"),
    [
        # What falls on the own picture first, and of that what falls nearest to it.
        ((0, 1, 2, 3), 3.0, "C 5880 MHz with B 5840 MHz makes 5920 MHz, which meets you 5800 MHz; "),
        ((3, 2, 1, 0), 3.0, "C 5880 MHz with B 5840 MHz makes 5920 MHz, which meets you 5800 MHz; "),
        ((0, 3), 7.0, "B 5840 MHz with C 5880 MHz makes 5800 MHz, which meets you 5800 MHz; "),
        ((0,), 1.0, "B 5840 MHz with C 5880 MHz makes 5800 MHz, which meets D 5920 MHz."),
    ],
)
def test_of_products_what_falls_on_the_own_picture_is_told_first(order, apart_mhz, words, monkeypatch):
    """By hand: twice the first less the second. Three are said, of more how many there are."""
    everyone = tuple(
        Channel(name, mhz, 20.0)
        for name, mhz in ((OWN, 5_800.0), ("B", 5_840.0), ("C", 5_880.0), ("D", 5_920.0))
    )
    found = (
        Clash(ClashKind.MIXED, (1, 2, 3), 1.0),
        Clash(ClashKind.MIXED, (1, 3, 2), 2.0),
        Clash(ClashKind.MIXED, (2, 1, 0), 3.0),
        Clash(ClashKind.MIXED, (1, 2, 0), 7.0),
    )
    monkeypatch.setattr(channel_rule, "channels_of", lambda _plan: everyone)
    monkeypatch.setattr(channel_rule, "own_channels", lambda _plan: everyone[:1])
    monkeypatch.setattr(channel_rule, "clashes", lambda _everyone: tuple(found[k] for k in order))
    flight = attrs.evolve(CASE.plan, other_pilots=(OtherPilot("B", 5_840.0),))
    (one,) = channels(attrs.evolve(CASE, plan=flight))
    assert one.numbers == {"apart_mhz": apart_mhz}
    assert one.message.startswith(words)
    assert one.message.count("makes") == min(len(order), 3)
    assert one.message.endswith("; and 1 more of the kind.") is (len(order) == 4)


def test_channels_are_checked_once_both_are_given():
    other = (OtherPilot("Ash", 5_800.0),)
    video = attrs.evolve(CASE.plan.aircraft, radios=(VIDEO,))
    assert VIDEO.use is RadioUse.VIDEO
    for craft, pilots, given in (
        (video, other, True),
        (CASE.plan.aircraft, other, False),
        (video, (), False),
    ):
        assert channels_given(attrs.evolve(CASE.plan, aircraft=craft, other_pilots=pilots)) is given


# ---- limits that nobody knows

UNKNOWN = VerticalLimit(LimitReference.UNKNOWN, math.nan)


@pytest.mark.parametrize(
    ("floor", "top", "words"),
    [
        (UNKNOWN, UNKNOWN, "it counts from the ground up, without a top."),
        (UNKNOWN, above_ground(900.0), "it counts from the ground up."),
        (above_ground(0.0), UNKNOWN, "it counts as having no top."),
        (above_ground(0.0), above_ground(900.0), None),
    ],
)
def test_an_airspace_of_unknown_limits_counts_as_taller(floor, top, words):
    base = judged_case(plan(), world(airspace=(volume(top=above_ground(900.0)),)))
    (column,) = base.mapped.airspace
    mapped = attrs.evolve(
        base.mapped, airspace={column: attrs.evolve(base.mapped.airspace[column], floor=floor, top=top)}
    )
    found = list(limits_not_known(attrs.evolve(base, mapped=mapped)))
    assert [one.mark for one in found] == ([Mark.NOTE] if words else [])
    for one in found:
        assert one.message.endswith(words)
        twice = attrs.evolve(base, mapped=mapped, uses=base.uses * 2)
        assert len(list(limits_not_known(twice))) == 1
    assert not list(limits_not_known(attrs.evolve(base, mapped=None)))


# ---- waivers


def waived(text, purpose=Purpose.PART_107, **changes):
    given = record(text, None, PermissionKind.WAIVER, **changes)
    flight = attrs.evolve(CASE.plan, purpose=purpose, permissions=(given,))
    return {one.rule: one for one in waivers(attrs.evolve(CASE, plan=flight))}


def test_what_a_waiver_does_not_do_is_told():
    """14 CFR 107.200, 107.205 (standing A, B)."""
    assert not waived("14 CFR 107.31")
    assert set(waived("14 CFR 107.33")) == {"waiver-not-counted"}
    airspace = waived("14 CFR 107.41")["waiver-not-counted"]
    assert airspace.mark is Mark.ACT
    assert airspace.remedy.startswith("record it as the authorization of that airspace")
    impossible = waived("14 CFR 107.36")["waiver-not-possible"]
    listed = "14 CFR 107.25, .29(a)(2) and (b), .31, .33, .35, .37(a), .39, .41, .51, .145."
    assert listed in impossible.message
    assert set(waived("something")) == {"waiver-not-read"}
    assert set(waived("14 CFR 107.31", Purpose.RECREATIONAL)) == {"waiver-recreational"}
    late = waived("14 CFR 107.31", valid_from_utc=START + HOUR / 2)["waiver-not-in-time"]
    assert late.mark is Mark.NOTE
    given = record("14 CFR 107.31", None, PermissionKind.WAIVER, valid_from_utc=START + HOUR / 2)
    fault = time_fault(given, CASE.plan.window)
    assert late.message == f"{fault[:1].upper()}{fault[1:]}. It lifts nothing of this flight."
    given = record("14 CFR 107.31", None, PermissionKind.WAIVER, valid_from_utc=START + HOUR / 2)
    timeless = attrs.evolve(CASE.plan, permissions=(given,), window=None)
    assert not list(waivers(attrs.evolve(CASE, plan=timeless)))
