"""Which radio band and power is open to whom in the United States.

Sources: 47 CFR 15.249 (field strength; A), 15.247 (limits A, band edges C),
97.215 (A), other parts of 47 CFR part 97 (C). Other countries differ.
"""

from collections.abc import Callable
from enum import StrEnum
from typing import Final

import attrs

from planner.flight.free_space import dbm_of_mw, radiated_mw_of_field
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.model import Purpose

_FIELD_MV_PER_M: Final = 50.0
_SPREAD_MW: Final = 1_000.0
_SPREAD_GAIN_DBI: Final = 6.0
_MODEL_CRAFT_MW: Final = 1_000.0
# A rounding of a decibel is no breach.
_TOLERANCE_DB: Final = 0.005


class BandStatus(StrEnum):
    """Whether a rule lets a radio be used."""

    OPEN = "open"
    CLOSED = "closed"
    UNKNOWN = "unknown"


@attrs.frozen
class BandAnswer:
    """What one rule says of one radio, why, and where it stands."""

    rule: str
    status: BandStatus
    why: str
    citation: str


@attrs.frozen
class _Rule:
    name: str
    citation: str
    bands_mhz: tuple[tuple[float, float], ...]
    judge: Callable[[Radio, Purpose | None], tuple[BandStatus, str]]


def unlicensed_limit_dbm() -> float:
    """Return the radiated power that 50 mV/m at 3 m stands for [dBm EIRP]."""
    return dbm_of_mw(radiated_mw_of_field(_FIELD_MV_PER_M))


def band_answers(radio: Radio, purpose: Purpose | None) -> tuple[BandAnswer, ...]:
    """Return what each rule says; the radio may be used if one of them is open."""
    return tuple(_answer(rule, radio, purpose) for rule in _RULES)


def is_open(radio: Radio, purpose: Purpose | None) -> BandStatus:
    """Return whether any rule lets the radio be used."""
    found = {answer.status for answer in band_answers(radio, purpose)}
    for status in (BandStatus.OPEN, BandStatus.UNKNOWN):
        if status in found:
            return status
    return BandStatus.CLOSED


def _answer(rule: _Rule, radio: Radio, purpose: Purpose | None) -> BandAnswer:
    if not any(low <= radio.frequency_mhz <= high for low, high in rule.bands_mhz):
        bands = ", ".join(f"{low:g}-{high:g}" for low, high in rule.bands_mhz)
        return BandAnswer(
            rule.name,
            BandStatus.CLOSED,
            f"{radio.frequency_mhz:g} MHz is outside {bands} MHz",
            rule.citation,
        )
    return BandAnswer(rule.name, *rule.judge(radio, purpose), rule.citation)


def _low_power(radio: Radio, _purpose: Purpose | None) -> tuple[BandStatus, str]:
    if radio.power_mw is None:
        return BandStatus.UNKNOWN, "its power is not known"
    gain = _transmit_gain_dbi(radio)
    radiated_dbm = dbm_of_mw(radio.power_mw) + (gain or 0.0)
    over = radiated_dbm - unlicensed_limit_dbm()
    if over > _TOLERANCE_DB:
        return BandStatus.CLOSED, f"it radiates {over:.1f} dB more than 50 mV/m at 3 m"
    if gain is None:
        return BandStatus.UNKNOWN, "the gain of its antenna is not known"
    return BandStatus.OPEN, "within 50 mV/m at 3 m"


def _spread_spectrum(radio: Radio, _purpose: Purpose | None) -> tuple[BandStatus, str]:
    if radio.analog:
        return BandStatus.CLOSED, "it is for digital and hopping emissions, not for analog ones"
    if radio.power_mw is None:
        return BandStatus.UNKNOWN, "its power is not known"
    gain = _transmit_gain_dbi(radio)
    # Above 6 dBi of gain the power goes down by as much.
    allowed_dbm = dbm_of_mw(_SPREAD_MW) - max((gain or 0.0) - _SPREAD_GAIN_DBI, 0.0)
    if dbm_of_mw(radio.power_mw) > allowed_dbm + _TOLERANCE_DB:
        return BandStatus.CLOSED, f"more than {allowed_dbm:.1f} dBm into its antenna"
    if radio.analog is None or gain is None:
        return BandStatus.UNKNOWN, "whether it is digital, or the gain of its antenna, is not known"
    return BandStatus.OPEN, "digital, within 1 W and 6 dBi; its density is for the maker to say"


def _model_craft(radio: Radio, purpose: Purpose | None) -> tuple[BandStatus, str]:
    status, why = _amateur(radio, purpose)
    if status is not BandStatus.OPEN:
        return status, why
    if radio.power_mw is None:
        return BandStatus.UNKNOWN, "its power is not known"
    if radio.power_mw > _MODEL_CRAFT_MW:
        return BandStatus.CLOSED, "telecommand of model craft ends at 1 W"
    if radio.use is not RadioUse.CONTROL:
        return BandStatus.CLOSED, "it is for telecommand only"
    return BandStatus.OPEN, "with an amateur license, up to 1 W, labelled with call sign and address"


def _amateur(_radio: Radio, purpose: Purpose | None) -> tuple[BandStatus, str]:
    if purpose is None:
        return BandStatus.UNKNOWN, "the purpose is not known"
    if purpose is Purpose.PART_107:
        return BandStatus.CLOSED, "the amateur service is closed to paid or business use"
    return BandStatus.OPEN, "with an amateur license and identification"


def _transmit_gain_dbi(radio: Radio) -> float | None:
    return radio.ground_gain_dbi if radio.use is RadioUse.CONTROL else radio.air_gain_dbi


_RULES: Final = (
    _Rule(
        "unlicensed, any emission",
        "47 CFR 15.249",
        ((902.0, 928.0), (2_400.0, 2_483.5), (5_725.0, 5_875.0)),
        _low_power,
    ),
    _Rule(
        "unlicensed, digital or hopping",
        "47 CFR 15.247",
        ((902.0, 928.0), (2_400.0, 2_483.5), (5_725.0, 5_850.0)),
        _spread_spectrum,
    ),
    _Rule(
        "amateur, telecommand of model craft",
        "47 CFR 97.215, 97.113",
        ((50.0, 54.0), (420.0, 450.0), (902.0, 928.0), (2_390.0, 2_450.0), (5_650.0, 5_925.0)),
        _model_craft,
    ),
    _Rule(
        "amateur, other emissions",
        "47 CFR part 97, 97.113",
        ((420.0, 450.0), (902.0, 928.0), (1_240.0, 1_300.0), (2_390.0, 2_450.0), (5_650.0, 5_925.0)),
        _amateur,
    ),
)
