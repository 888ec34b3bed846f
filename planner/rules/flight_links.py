"""Rules on the radio links: margin along the path, and which bands are open to whom."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.flight.answer import Link
from planner.flight.bands import BandStatus, band_answers, is_open
from planner.flight.cover import cover_of
from planner.flight.links import Failing, missing_figures
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, left_db, wanted_db, worst_of
from planner.rules.words import along, capitalised

USE = {RadioUse.CONTROL: "Control", RadioUse.VIDEO: "Video"}
FAILING = {
    Failing.FADES: "An analog picture fades first: turn back as snow comes in.",
    Failing.FREEZES: "A digital one freezes without warning.",
    Failing.UNKNOWN: "Whether it fades or freezes is not said.",
}


def margins(case: Case) -> Iterator[Finding]:
    """Yield a stop where a link has less margin than is wanted, an unknown where nobody can say."""
    if case.flight is None or case.track is None:
        return
    for link in case.flight.links:
        yield from _margin(case, link)


def _margin(case: Case, link: Link) -> Iterator[Finding]:
    track, profile, spec = case.track, link.profile, link.profile.spec
    assert track is not None
    name = radio_name(link.radio)
    if (worst := worst_of(track, profile.thin, -profile.margin_db)) is not None:
        k = worst.sample
        own = link.radio.required_margin_db is not None
        terrain_db = float(profile.terrain_db[k])
        behind = (
            f" {capitalised(what_takes(case, link, k))} takes {terrain_db:.0f} dB of it, "
            f"{along(float(profile.worst_m[k]))} from the antenna."
            if terrain_db >= 1.0
            else ""
        )
        found = worst.finding(
            rule=f"{spec.use.value}-margin",
            mark=Mark.STOP,
            title=f"{USE[spec.use]} link too weak",
            message=f"{capitalised(name)} has {left_db(float(profile.margin_db[k]))} over its sensitivity at "
            f"{along(float(track.distance_m[k]))}; {wanted_db(spec.required_margin_db)} are wanted.{behind} "
            f"{FAILING[spec.failing]}",
            remedy="stand where you see over the ridge, raise the antenna, fly higher or nearer",
            numbers={"margin_db": float(profile.margin_db[k]), "wanted_db": spec.required_margin_db},
        )
        yield attrs.evolve(found, basis=Basis.OWN_LIMIT, citation="") if own else found
    if (dark := worst_of(track, profile.unknown)) is not None:
        yield dark.finding(
            rule="link-not-known",
            mark=Mark.UNKNOWN,
            title=f"{USE[spec.use]} link not known everywhere",
            message=f"Ground between the antenna and the aircraft is not known for {name}.",
            remedy="add terrain that covers the way, or test the link there",
        )


def what_takes(case: Case, link: Link, sample: int) -> str:
    """Return what comes nearest to a wave on its way: the ground, or what is drawn or charted."""
    which = -1 if link.profile.cover is None else int(link.profile.cover[sample])
    mapped = case.mapped
    if which < 0 or mapped is None:
        return "ground"
    return cover_of(case.plan, mapped.frame, mapped.buildings).names[which]


def picture_lost(case: Case) -> Iterator[Finding]:
    """Yield an act where the picture is too weak and control is not: then nothing begins by itself."""
    if case.flight is None or (track := case.track) is None:
        return
    control = [one.profile for one in case.flight.links if one.radio.use is RadioUse.CONTROL]
    for link in case.flight.links:
        if link.radio.use is not RadioUse.VIDEO:
            continue
        dead = np.logical_or.reduce([one.thin for one in control]) if control else np.zeros(len(track), bool)
        if (worst := worst_of(track, link.profile.thin & ~dead, -link.profile.margin_db)) is None:
            continue
        alive = (
            "control still holds, so nothing begins by itself"
            if control
            else "whether control still holds is not checked; if it does, nothing begins by itself"
        )
        begin, end = worst.stretch.from_m, worst.stretch.to_m
        where = f"At {along(begin)}" if end - begin < 1.0 else f"From {along(begin)} to {along(end)}"
        left_db = float(np.nanmin(link.profile.margin_db))
        weak = "may go" if left_db <= 0.0 else "has less to spare than is wanted, and may go"
        yield worst.finding(
            rule="picture-lost-control-alive",
            mark=Mark.ACT,
            title="Picture lost, control alive",
            message=f"{where} the picture of "
            f"{radio_name(link.radio)} {weak}, while {alive}: it flies on as the sticks say.",
            remedy="settle before who sees it then and what is done: stop, climb straight up, or let the "
            "lost-link action begin",
        )


def incomplete(case: Case) -> Iterator[Finding]:
    """Yield an act for each radio whose figures don't let its link be reckoned."""
    for radio in case.plan.aircraft.radios if case.plan.aircraft else ():
        if missing := missing_figures(radio):
            yield Finding(
                rule="link-figures-missing",
                mark=Mark.ACT,
                basis=Basis.SAFETY,
                title=f"{USE[radio.use]} link not checked",
                message=f"Of {radio_name(radio)} is not given: {', '.join(missing)}.",
                citation=COMMON_PRACTICE,
                remedy="give what is wanting, or try the link near by before you rely on it",
            )


def bands(case: Case) -> Iterator[Finding]:
    """Yield an act for each radio that no rule is known to leave open to this user."""
    for radio in case.plan.aircraft.radios if case.plan.aircraft else ():
        status = is_open(radio, case.plan.purpose)
        if status is BandStatus.OPEN:
            yield from _license(radio, case.plan.purpose)
            continue
        answers = [one for one in band_answers(radio, case.plan.purpose) if "is outside" not in one.why]
        why = "; ".join(f"{one.rule}: {one.why}" for one in answers) or "no rule opens that frequency"
        closed = status is BandStatus.CLOSED
        cited = answers or band_answers(radio, case.plan.purpose)
        yield Finding(
            rule="band-not-open",
            mark=Mark.ACT,
            basis=Basis.LAW,
            title=f"{USE[radio.use]} band {'not open' if closed else 'perhaps not open'} to this flight",
            message=f"{capitalised(radio_name(radio))}: {why}. In the United States; other countries differ.",
            citation="; ".join(dict.fromkeys(one.citation for one in cited)),
            remedy="use a frequency and power that is open to you"
            if closed
            else "say what is missing, and check",
        )


def _license(radio: Radio, purpose: Purpose | None) -> Iterator[Finding]:
    """Yield an act where only the amateur service opens the band: it asks for a license."""
    opened = [one for one in band_answers(radio, purpose) if one.status is BandStatus.OPEN]
    if not all(one.rule.startswith("amateur") for one in opened):
        return
    yield Finding(
        rule="band-needs-license",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{USE[radio.use]} band open to licensed amateurs only",
        message=f"{capitalised(radio_name(radio))}: {'; '.join(f'{one.rule}: {one.why}' for one in opened)}. "
        "In the United States; other countries differ.",
        citation="; ".join(dict.fromkeys(one.citation for one in opened)),
        remedy="have the license with you and identify, or use a power that is open to everybody",
    )


def radio_name(radio: Radio) -> str:
    """Return what a radio is called in findings."""
    kind = {True: "analog ", False: "digital ", None: ""}[radio.analog]
    return f"{kind}{radio.use.value} at {radio.frequency_mhz:g} MHz"


def least_db(link: Link) -> float:
    """Return the least margin of a link [dB], NaN where none is known."""
    return float(np.nanmin(link.profile.margin_db)) if not link.profile.unknown.all() else float("nan")


RULES = (margins, picture_lost, incomplete, bands)
