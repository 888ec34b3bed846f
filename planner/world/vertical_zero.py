"""Which zero the heights of a terrain count from, by the name of their vertical datum."""

import re
from enum import StrEnum


class Zero(StrEnum):
    """The closed list of what a name can mean for us."""

    NAVD88 = "navd88"
    SEA_LEVEL = "sea-level"
    ELLIPSOID = "ellipsoid"
    UNKNOWN = "unknown"


_ELLIPSOID_SAID = re.compile(r"ELLIPS|\bHAE\b|\b(?:4979|6319)\b", re.IGNORECASE)
_NAVD88 = re.compile(
    r"\bNAVD[ _-]?(?:19)?88\b|\bNORTH AMERICAN VERTICAL DATUM(?: OF)? 1988\b|\b(?:5703|6360|8228)\b",
    re.IGNORECASE,
)
_SEA_LEVEL = re.compile(
    r"\bEGM[ _-]?(?:84|96|(?:20)?08)\b|\bNGVD|\bNATIONAL GEODETIC VERTICAL DATUM\b"
    r"|\bSEA LEVEL\b|\bA?MSL\b|\bORTHOMETRIC\b|\bGEOID|\bEVRF"
    r"|\bCGVD|\b(?:PR|GU|AS|VI|NM)VD ?0\d\b|\bDHHN|\bNEWLYN\b|\bORDNANCE DATUM\b|\bNAP\b|\bNN ?2000\b"
    # EPSG, by pyproj's database: heights over EGM2008, EGM96, EGM84 and by NGVD 29.
    r"|\b(?:3855|5773|5798|5702|7968)\b",
    re.IGNORECASE,
)
_FRAME_ALONE = re.compile(
    r"^\s*(?:WGS[ _-]?(?:19)?84|NAD[ _-]?(?:19)?83|ITRF ?\d*|ETRS ?\d*)(?:\s*\([^)]*\))?\s*$", re.IGNORECASE
)
"""A frame of the whole earth named where a vertical datum belongs: its heights count from its ellipsoid."""


_TURNED = re.compile(r"\b(?:converted|derived|transformed|reduced) from ellips\w* heights?", re.IGNORECASE)
"""From what heights were made, which is not what they are now."""


def zero_of(vertical_datum: str) -> Zero:
    """Return what the name of a vertical datum means; a name that is not known means nothing.

    NAVD 88 is what the authority's heights count from. Other sea levels part
    from it by a metre or two, an ellipsoid by the height of the geoid: up to
    some 50 m in the United States, 106 m on earth (EGM96; from memory).
    """
    vertical_datum = _TURNED.sub("", vertical_datum)
    if _ELLIPSOID_SAID.search(vertical_datum) or _FRAME_ALONE.match(vertical_datum):
        return Zero.ELLIPSOID
    if _NAVD88.search(vertical_datum):
        return Zero.NAVD88
    return Zero.SEA_LEVEL if _SEA_LEVEL.search(vertical_datum) else Zero.UNKNOWN
