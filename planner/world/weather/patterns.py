"""The groups of the aviation weather codes as patterns.

Source: WMO-No. 306 Manual on Codes, FM 15 (METAR), FM 16 (SPECI), FM 51
(TAF); the United States' forms (statute miles, inches of mercury) after
Federal Meteorological Handbook No. 1. Standing C (from memory).

Two packages that read the code were tried: one drops groups that it does
not know without a word and rounds pressure to whole hectopascals, the other
reads the letter O as a zero and knows no forecasts. Here neither happens.
"""

import re
from typing import Final

STATION: Final = re.compile(r"[A-Z][A-Z0-9]{3}")
ISSUED: Final = re.compile(r"(\d{2})(\d{2})(\d{2})Z")
WIND: Final = re.compile(r"(\d{3}|VRB|///)(P?)(\d{2,3}|//)(?:G(P?)(\d{2,3}|//))?(KT|MPS|KMH)")
VARIATION: Final = re.compile(r"(\d{3})V(\d{3})")
METRES: Final = re.compile(r"(\d{4})(NDV)?")
LEAST_METRES: Final = re.compile(r"(\d{4})(N|NE|E|SE|S|SW|W|NW)")
NO_VISIBILITY: Final = re.compile(r"////(?:NDV|SM)?|/{2}SM")
MILES: Final = re.compile(r"([MP]?)(?:(\d{1,3})|(?:([1-9]\d?) )?(\d)/(2|4|8|16))SM")
WHOLE_MILES: Final = re.compile(r"[1-9]\d?")
MILE_FRACTION: Final = re.compile(r"\d/(?:2|4|8|16)SM")
RUNWAY_RANGE: Final = re.compile(r"R\d{2}[LCR]?/(?:////|[MP]?\d{4}(?:V[MP]?\d{4})?(?:FT)?)(?:/?[UDN])?")
_DESCRIPTORS = "MI|BC|PR|DR|BL|SH|TS|FZ"
_PHENOMENA = "DZ|RA|SN|SG|PL|GR|GS|UP|IC|FG|BR|SA|DU|HZ|FU|VA|SQ|PO|FC|DS|SS|PY"
WEATHER: Final = re.compile(
    rf"(?:(?:\+|-|VC)?(?:{_DESCRIPTORS})?(?:{_PHENOMENA}){{1,3}}|(?:\+|-|VC)?(?:TS|SH)|NSW|//)"
)
RECENT_WEATHER: Final = re.compile(rf"RE(?:{_DESCRIPTORS})?(?:{_PHENOMENA}){{0,3}}")
CLOUD: Final = re.compile(r"(FEW|SCT|BKN|OVC)(\d{3}|///)(CB|TCU|///)?")
UNTOLD_CLOUD: Final = re.compile(r"(///)(\d{3})(CB|TCU|///)?")
VERTICAL_VISIBILITY: Final = re.compile(r"VV(\d{3}|///)")
CLEAR_SKY: Final = re.compile(r"SKC|CLR|NSC|NCD")
NO_CLOUD: Final = re.compile(r"//////(?:CB|TCU|///)?|/{9}")
TEMPERATURE: Final = re.compile(r"(M?\d{2}|//)/(M?\d{2}|//)?")
PRESSURE: Final = re.compile(r"(Q|A)(\d{4}|////)")
RUNWAY_STATE: Final = re.compile(r"R\d{2}[LCR]?/(?:[\d/]{6}|CLRD(?:\d\d|//))|R/SNOCLO")
SEA_STATE: Final = re.compile(r"W(?:M?\d{2}|//)/(?:S[\d/]|H[\d/]{1,3})")
FORECAST_EXTREME: Final = re.compile(r"T[XN]M?\d{2}/\d{4}Z")
VALIDITY: Final = re.compile(r"(\d{2})(\d{2})/(\d{2})(\d{2})")
FROM: Final = re.compile(r"FM(\d{2})(\d{2})(\d{2})")
PROBABILITY: Final = re.compile(r"PROB(30|40)")
FORECAST_PRESSURE: Final = re.compile(r"QNH\d{4}INS")
SHEAR: Final = re.compile(r"WS (?:(?:TKOF |LDG )?(?:R|RWY)\d{2}[LCR]?|ALL RWY)")
SHEAR_BEGINS: Final = re.compile(r"WS(?: (?:TKOF|LDG|ALL))?")
FORECAST_HAZARD: Final = re.compile(r"[56]\d{5}|WS\d{3}/\d{5}KT")
