"""Rules on figures of a radio that can't be, or hardly: its margin would be reckoned too well.

What physics forbids leaves the answer open where the link was reckoned with it. What is only beyond
anybody's use or any rule (20 W, a dish of 40 dBi, a mast of 50 m) can be, so it is something to look at:
bands and powers that are open are the matter of `flight_links.bands`.
"""

import math
from collections.abc import Iterator
from typing import Final

from planner.plan.aircraft import Aircraft, Radio, RadioUse
from planner.rules.absurd import absurd_finding, weight
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.flight_links import radio_name
from planner.rules.flight_words import feet
from planner.rules.words import capitalised

THERMAL_NOISE: Final = "thermal noise, -174 dBm a hertz at 290 K"
# An analog picture takes 5 MHz at the least, a digital one 1 MHz: own choices, from memory.
_ANALOG_MHZ: Final = 5.0
_DIGITAL_MHZ: Final = 1.0
# Who steers an aircraft sends 1,000 bits a second at the least, and no link that is usual is narrower than
# 10 kHz: own choices, from memory.
_CONTROL_BITS: Final = 1_000.0
_CONTROL_MHZ: Final = 0.01
# Own choices: more gain than that points one way, in the air and on the ground.
_USUAL_AIR_DBI: Final = 9.0
_USUAL_GROUND_DBI: Final = 24.0
# A single small antenna reaches so much whatever the aircraft's size: own choice.
_SMALL_ANTENNA_DBI: Final = 12.0
# Own choices: nobody carries a wider dish to a launch point; stronger transmitters and higher masts are rare.
_WIDEST_DISH_M: Final = 3.0
_USUAL_MW: Final = 5_000.0
_USUAL_MAST_M: Final = 10.0
_LIGHT_MPS: Final = 299_792_458.0


def below_noise(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a receiver that would hear less than noise lets it, an act where hardly."""
    for radio in _radios(case):
        if radio.sensitivity_dbm is None:
            continue
        picture = radio.use is RadioUse.VIDEO
        least_dbm, usual_dbm = _picture_dbm(radio) if picture else _control_dbm()
        if radio.sensitivity_dbm >= max(least_dbm, usual_dbm):
            continue
        impossible = radio.sensitivity_dbm < least_dbm
        bound_dbm = least_dbm if impossible else usual_dbm
        what = "a picture" if picture else "commands"
        yield absurd_finding(
            "sensitivity-to-check",
            weight(case, impossible=impossible, rests_on_it=_reckoned(case, radio)),
            f"No receiver takes {what} so weak" if impossible else f"Hardly a receiver takes {what} so weak",
            f"{capitalised(radio_name(radio))}: {radio.sensitivity_dbm:g} dBm are given. The noise of warm "
            f"things alone lets nobody hear {what} {'at all' if impossible else 'of usual width'} below "
            f"{bound_dbm:.0f} dBm. So its margin is reckoned too well.",
            f"look the receiver's sensitivity up again, for {'pictures' if picture else 'control'}",
            {"sensitivity_dbm": radio.sensitivity_dbm, "least_dbm": bound_dbm},
            THERMAL_NOISE,
        )


def _picture_dbm(radio: Radio) -> tuple[float, float]:
    """Return below what no picture is received, and below what hardly one [dBm]."""
    narrowest_mhz = _ANALOG_MHZ if radio.analog else _DIGITAL_MHZ
    return _noise_dbm(narrowest_mhz), _noise_dbm(max(narrowest_mhz, radio.width_mhz or _ANALOG_MHZ))


def _control_dbm() -> tuple[float, float]:
    """Return the same for commands: a bit takes ln 2 of the noise in a hertz (Shannon), however wide."""
    return _noise_dbm(_CONTROL_BITS * math.log(2.0) / 1e6), _noise_dbm(_CONTROL_MHZ)


def _noise_dbm(width_mhz: float) -> float:
    return -174.0 + 10 * math.log10(width_mhz * 1e6)


def antennas(case: Case) -> Iterator[Finding]:
    """Yield an unknown for an antenna too good for its size, an act for one that only points one way."""
    aircraft = case.plan.aircraft
    for radio in _radios(case):
        assert aircraft is not None
        if radio.air_gain_dbi is not None and radio.air_gain_dbi > _USUAL_AIR_DBI:
            most_dbi = _most_air_dbi(aircraft, radio)
            yield _antenna(
                case,
                radio,
                radio.air_gain_dbi,
                f"An antenna no larger than the aircraft has {most_dbi:.0f} dBi at the most."
                if radio.air_gain_dbi > most_dbi
                else "The aircraft turns, and an antenna of so much gain hears and sends one way only.",
                impossible=radio.air_gain_dbi > most_dbi,
            )
        if radio.ground_gain_dbi is not None and radio.ground_gain_dbi > _USUAL_GROUND_DBI:
            dish_m = _length_m(radio) / math.pi * math.sqrt(_times(radio.ground_gain_dbi))
            yield _antenna(
                case,
                radio,
                radio.ground_gain_dbi,
                f"On the ground that takes a dish of {feet(dish_m)} at the least, "
                + (
                    "which nobody carries."
                    if dish_m > _WIDEST_DISH_M
                    else "and it hears what it is pointed at only."
                ),
                impossible=dish_m > _WIDEST_DISH_M,
            )


def _antenna(case: Case, radio: Radio, dbi: float, why: str, *, impossible: bool) -> Finding:
    return absurd_finding(
        "antenna-to-check",
        weight(case, impossible=impossible, rests_on_it=_reckoned(case, radio)),
        f"An antenna {'can have no' if impossible else 'hardly has'} {dbi:g} dBi",
        f"{capitalised(radio_name(radio))}: {dbi:g} dBi of gain are given. {why} Its margin is reckoned as "
        "if it were always turned to the other.",
        "look its gain up again: decibels over an even radiator, of one antenna",
        {"gain_dbi": dbi},
        "gain and aperture of an antenna; Harrington's normal gain",
    )


def _most_air_dbi(aircraft: Aircraft, radio: Radio) -> float:
    """Return the gain of an antenna in the sphere round the aircraft [dBi]: (ka)^2 + 2 ka, Harrington."""
    ka = math.pi * aircraft.largest_dimension_m / _length_m(radio)
    return max(10 * math.log10(ka**2 + 2 * ka), _SMALL_ANTENNA_DBI)


def _length_m(radio: Radio) -> float:
    return _LIGHT_MPS / (radio.frequency_mhz * 1e6)


def _times(decibels: float) -> float:
    return float(10 ** (decibels / 10))


def powers(case: Case) -> Iterator[Finding]:
    """Yield an act for a transmitter or a mast beyond what is usual, an unknown where motors take less."""
    for radio in _radios(case):
        if radio.power_mw is not None and radio.power_mw > _USUAL_MW:
            watts, flown_w = radio.power_mw / 1_000, _flown_w(case)
            impossible = radio.use is RadioUse.VIDEO and flown_w is not None and watts > flown_w
            yield absurd_finding(
                "radio-power-to-check",
                weight(case, impossible=impossible, rests_on_it=_reckoned(case, radio)),
                f"A transmitter {'can not have' if impossible else 'hardly has'} {watts:g} W",
                f"{capitalised(radio_name(radio))}: {watts:g} W are given"
                + (f"; the whole aircraft flies on {flown_w:.4g} W." if impossible else ".")
                + " Its margin is reckoned with all of it.",
                "look at its unit: milliwatts",
                {"power_mw": radio.power_mw},
            )
        if radio.ground_antenna_m is not None and radio.ground_antenna_m > _USUAL_MAST_M:
            yield absurd_finding(
                "antenna-height-to-check",
                weight(case, impossible=False),
                f"Does the antenna really stand {feet(radio.ground_antenna_m)} high?",
                f"{capitalised(radio_name(radio))}: {feet(radio.ground_antenna_m)} above the ground at the "
                "pilot's place are given, which takes a mast. What the ground takes of the link is reckoned "
                "from there.",
                "give its height above the ground on which the pilot stands",
                {"height_m": radio.ground_antenna_m},
            )


def _flown_w(case: Case) -> float | None:
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    given = [watts for watts in (able.hover_w, able.cruise_w) if watts is not None] if able else []
    return min(given, default=None)


def _radios(case: Case) -> tuple[Radio, ...]:
    return case.plan.aircraft.radios if case.plan.aircraft else ()


def _reckoned(case: Case, radio: Radio) -> bool:
    """Whether a link was reckoned with this radio."""
    found = [flight.links for flight in (case.flight, case.area_flight) if flight is not None]
    return any(link.radio is radio for links in found for link in links)


RULES = (below_noise, antennas, powers)
