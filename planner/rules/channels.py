"""Rules on the video channels of several pilots at one place."""

from collections.abc import Iterator, Sequence

from planner.flight.channels import WIDTH_MHZ, Channel, Clash, ClashKind, clashes
from planner.plan.aircraft import RadioUse
from planner.plan.model import Plan
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.words import capitalised

OWN = "you"


def own_channels(plan: Plan) -> tuple[Channel, ...]:
    """Return the channels of the plan's own video."""
    radios = plan.aircraft.radios if plan.aircraft else ()
    return tuple(
        Channel(OWN, radio.frequency_mhz, radio.width_mhz or WIDTH_MHZ)
        for radio in radios
        if radio.use is RadioUse.VIDEO
    )


def channels_of(plan: Plan) -> tuple[Channel, ...]:
    """Return every video channel at the place, the own ones first."""
    others = [
        Channel(pilot.name, pilot.frequency_mhz, pilot.width_mhz or WIDTH_MHZ) for pilot in plan.other_pilots
    ]
    return (*own_channels(plan), *others)


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
    for clash in found:
        yield _clash(clash, everyone)
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
    # Who only mixes with others disturbs at close range; who shares the own channel blinds.
    own = clash.kind is not ClashKind.MIXED and any(one.pilot == OWN for one in met)
    alone = all(one.pilot == OWN for one in met)
    apart = f"{clash.apart_mhz:g} MHz apart"
    what = {
        ClashKind.SAME: f"{_listed(met)}: one frequency. Whoever powers up takes the other's picture."
        if not alone
        else f"{_listed(met)}: one frequency, so neither can be seen.",
        ClashKind.OVERLAP: f"{_listed(met)}: only {apart}, so they overlap.",
        ClashKind.MIXED: f"{_listed(met)}: twice the first less the second falls {apart} from the third.",
    }[clash.kind]
    return Finding(
        rule="channels-clash",
        mark=Mark.STOP if own else Mark.ACT,
        basis=Basis.SAFETY,
        title=("Two of your own on one channel" if alone else "Two pilots on one channel")
        if clash.kind is ClashKind.SAME
        else "Video channels disturb each other",
        message=capitalised(what),
        citation=COMMON_PRACTICE,
        remedy="take channels farther apart, or fly one after the other with the transmitter off in between",
        numbers={"apart_mhz": clash.apart_mhz},
    )


def _listed(found: Sequence[Channel]) -> str:
    return ", ".join(f"{one.pilot} {one.frequency_mhz:g} MHz" for one in found)


RULES = (channels,)
