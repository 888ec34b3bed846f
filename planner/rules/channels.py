"""Rules on the video channels of several pilots at one place."""

from collections.abc import Iterator, Sequence

from planner.flight.channels import NARROWEST_MHZ, WIDTH_MHZ, Channel, Clash, ClashKind, clashes
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.beneath import OtherPilot
from planner.plan.model import Plan
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.words import capitalised

OWN = "you"
_DISTURB = "Video channels disturb each other"
_MOST_SAID = 3


def own_channels(plan: Plan) -> tuple[Channel, ...]:
    """Return the channels of the plan's own video."""
    radios = plan.aircraft.radios if plan.aircraft else ()
    return tuple(
        Channel(OWN, radio.frequency_mhz, _width_mhz(radio.width_mhz))
        for radio in radios
        if radio.use is RadioUse.VIDEO
    )


def channels_of(plan: Plan) -> tuple[Channel, ...]:
    """Return every video channel at the place, the own ones first."""
    others = [
        Channel(pilot.name, pilot.frequency_mhz, _width_mhz(pilot.width_mhz)) for pilot in plan.other_pilots
    ]
    return (*own_channels(plan), *others)


def _width_mhz(said_mhz: float | None) -> float:
    """Return the width to reckon with: never less than a picture takes."""
    return max(said_mhz or WIDTH_MHZ, NARROWEST_MHZ)


def narrow(case: Case) -> Iterator[Finding]:
    """Yield an act for a picture that is said to be narrower than any is."""
    own = [(OWN, one.width_mhz) for one in _radios(case.plan, RadioUse.VIDEO)]
    for name, width_mhz in (*own, *((one.name, one.width_mhz) for one in case.plan.other_pilots)):
        if width_mhz is not None and width_mhz < NARROWEST_MHZ:
            yield Finding(
                rule="picture-width-to-check",
                mark=Mark.ACT,
                basis=Basis.SAFETY,
                title="No picture is so narrow",
                message=f"{capitalised(name)}: {width_mhz:g} MHz are given. A picture takes "
                f"{NARROWEST_MHZ:g} MHz at the least, most of them 10 to 40; it is reckoned with that.",
                citation=COMMON_PRACTICE,
                remedy="look at its unit, or leave it out: then it is taken as usual",
                numbers={"width_mhz": width_mhz},
            )


def own_control(case: Case) -> Iterator[Finding]:
    """Yield where own control is on the frequency of the own picture: a stop beside an analog one."""
    for control in _radios(case.plan, RadioUse.CONTROL):
        for video in _radios(case.plan, RadioUse.VIDEO):
            if (apart_mhz := _apart_mhz(control, video)) is None:
                continue
            yield Finding(
                rule="own-control-on-video",
                mark=Mark.STOP if video.analog else Mark.ACT,
                basis=Basis.SAFETY,
                title="Control and picture on one frequency",
                message=f"Control is at {control.frequency_mhz:g} MHz, the picture at "
                f"{video.frequency_mhz:g} MHz: {apart_mhz:g} MHz apart. On the aircraft the transmitter of "
                "the picture sits beside the receiver of control and deafens it"
                + ("." if video.analog else ", unless one digital system carries both."),
                citation=COMMON_PRACTICE,
                remedy="take a channel of the picture away from it, or correct the frequency"
                + ("" if video.analog else "; where one system carries both, nothing has to be done"),
                numbers={"apart_mhz": apart_mhz},
            )


def others_on_control(case: Case) -> Iterator[Finding]:
    """Yield an act where another pilot's picture is on the frequency of own control."""
    for control in _radios(case.plan, RadioUse.CONTROL):
        for pilot in case.plan.other_pilots:
            if (apart_mhz := _apart_mhz(control, pilot)) is None:
                continue
            yield Finding(
                rule="control-under-picture",
                mark=Mark.ACT,
                basis=Basis.SAFETY,
                title="Another's picture is on the frequency of your control",
                message=f"Control is at {control.frequency_mhz:g} MHz, {pilot.name} sends a picture at "
                f"{pilot.frequency_mhz:g} MHz. Where the two come near each other, control is lost early.",
                citation=COMMON_PRACTICE,
                remedy="agree on another channel for that picture, or fly one after the other",
                numbers={"apart_mhz": apart_mhz},
            )


def _apart_mhz(control: Radio, picture: Radio | OtherPilot) -> float | None:
    """Return how far apart control and a picture are that share some of the band [MHz], None: they do not."""
    apart_mhz = abs(control.frequency_mhz - picture.frequency_mhz)
    half_mhz = (_width_mhz(picture.width_mhz) + (control.width_mhz or 0.0)) / 2
    return apart_mhz if apart_mhz < half_mhz else None


def _radios(plan: Plan, use: RadioUse) -> list[Radio]:
    return [one for one in (plan.aircraft.radios if plan.aircraft else ()) if one.use is use]


def channels_given(plan: Plan) -> bool:
    """Whether there is something to check: an own channel and somebody else's."""
    return bool(plan.other_pilots) and bool(own_channels(plan))


def channels(case: Case) -> Iterator[Finding]:
    """Yield a stop where somebody shares the own channel, an act where others clash, else the list."""
    plan = case.plan
    if not plan.other_pilots:
        return
    if not own_channels(plan):
        yield Finding(
            rule="own-channel-not-said",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Own video channel not said",
            message=f"Others here: {_listed(channels_of(plan))}. Without your own nothing is checked.",
            citation=COMMON_PRACTICE,
            remedy="state the frequency of your video, as a radio of the aircraft",
        )
        return
    everyone = channels_of(plan)
    found = clashes(everyone)
    mixed = [clash for clash in found if clash.kind is ClashKind.MIXED]
    for clash in found:
        if clash.kind is not ClashKind.MIXED:
            yield _clash(clash, everyone)
    if mixed:
        yield _mixed(mixed, everyone)
    if not found:
        yield Finding(
            rule="channels-apart",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title="Video channels do not disturb each other",
            message=f"{capitalised(_listed(everyone))}. Nobody powers up before all have agreed.",
            citation=COMMON_PRACTICE,
        )


def _clash(clash: Clash, everyone: Sequence[Channel]) -> Finding:
    met = [everyone[k] for k in clash.channels]
    own = any(one.pilot == OWN for one in met)
    alone = all(one.pilot == OWN for one in met)
    same = clash.kind is ClashKind.SAME
    if not same:
        what = f"{_listed(met)}: only {clash.apart_mhz:g} MHz apart, so they overlap."
    elif alone:
        what = f"{_listed(met)}: one frequency, so neither can be seen."
    else:
        what = f"{_listed(met)}: one frequency. Whoever powers up takes the other's picture."
    title = "Two of your own on one channel" if alone else "Two pilots on one channel"
    return _told(what, Mark.STOP if own else Mark.ACT, clash.apart_mhz, title if same else _DISTURB)


def _mixed(found: Sequence[Clash], everyone: Sequence[Channel]) -> Finding:
    """Return one act for all products of two that fall on a third: what falls on the own picture first.

    Who only mixes with others disturbs at close range; who shares the own channel blinds.
    """
    worst = sorted(found, key=lambda clash: (everyone[clash.channels[2]].pilot != OWN, clash.apart_mhz))
    said = [_product_words(*(everyone[k] for k in clash.channels)) for clash in worst[:_MOST_SAID]]
    more = len(found) - len(said)
    what = "; ".join(said) + (f"; and {more} more of the kind." if more else ".")
    return _told(what, Mark.ACT, worst[0].apart_mhz, _DISTURB)


def _product_words(one: Channel, other: Channel, third: Channel) -> str:
    mixed_mhz = 2 * one.frequency_mhz - other.frequency_mhz
    return f"{_listed([one])} with {_listed([other])} makes {mixed_mhz:g} MHz, which meets {_listed([third])}"


def _told(what: str, mark: Mark, apart_mhz: float, title: str) -> Finding:
    return Finding(
        rule="channels-clash",
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=capitalised(what),
        citation=COMMON_PRACTICE,
        remedy="take channels farther apart, or fly one after the other with the transmitter off in between",
        numbers={"apart_mhz": apart_mhz},
    )


def _listed(found: Sequence[Channel]) -> str:
    return ", ".join(f"{one.pilot} {one.frequency_mhz:g} MHz" for one in found)


RULES = (channels, narrow, own_control, others_on_control)
