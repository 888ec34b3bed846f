"""Weather reports made up to the grammar of the code, with what they mean.

WMO FM 15 and the United States' forms, from memory (standing C). Each report
comes with the meaning it was made from.
"""

import random

import attrs

KNOT = 1852 / 3600


@attrs.frozen
class Meaning:
    """What a made report says; None where it says nothing."""

    station: str
    day: int
    hour: int
    minute: int
    from_deg: int | None
    speed_mps: float | None
    gust_mps: float | None
    visibility_m: float | None
    ceiling_ft: int | None
    celsius: int | None
    dew_c: int | None
    hpa: float | None


def made_report(chance: random.Random) -> tuple[str, Meaning]:
    """Return a report and its meaning."""
    american = chance.random() < 0.5
    station = "".join(chance.choices("ABCDEFGHIJKLMNOPQRSTUVWXYZ", k=4))
    day, hour, minute = chance.randint(1, 28), chance.randint(0, 23), chance.randint(0, 59)
    groups = [chance.choice(["METAR", "SPECI", ""]), station, f"{day:02}{hour:02}{minute:02}Z"]
    groups.append(chance.choice(["AUTO", ""]))
    wind, from_deg, speed, gust = _wind(chance, american)
    groups.extend(wind)
    seen, seen_m = _visibility(chance, american)
    groups.append(seen)
    ceiling_ft = None
    if seen != "CAVOK":
        if chance.random() < 0.3:
            groups.append(f"R{chance.randint(1, 36):02}/{chance.randint(50, 2000):04}N")
        if chance.random() < 0.4:
            groups.append(chance.choice(["-RA", "BR", "+TSRA", "VCSH", "FZFG", "SHSN", "-FZDZ", "HZ"]))
        clouds, ceiling_ft = _clouds(chance)
        groups.extend(clouds)
    celsius = chance.randint(-40, 45)
    dew = celsius - chance.randint(0, 15)
    groups.append(f"{_signed(celsius)}/{_signed(dew)}")
    pressure, hpa = _pressure(chance, american)
    groups.append(pressure)
    groups.extend(
        chance.choice([[], ["NOSIG"], ["BECMG", "2000", "BR"], ["RMK", "AO2", "SLP134", "T02221028"]])
    )
    text = " ".join(group for group in groups if group) + chance.choice(["", "="])
    return text, Meaning(
        station, day, hour, minute, from_deg, speed, gust, seen_m, ceiling_ft, celsius, dew, hpa
    )


def _wind(chance: random.Random, american: bool) -> tuple[list[str], int | None, float, float | None]:
    unit, factor = ("KT", KNOT) if american or chance.random() < 0.5 else ("MPS", 1.0)
    most = 40 if unit == "KT" else 20
    speed = chance.randint(0, most)
    if speed == 0:
        return [f"00000{unit}"], 0, 0.0, None
    variable = chance.random() < 0.1
    direction = 10 * chance.randint(1, 36)
    gust = speed + chance.randint(5, 15) if speed >= 8 and chance.random() < 0.4 else None
    group = f"{'VRB' if variable else f'{direction:03}'}{speed:02}{f'G{gust:02}' if gust else ''}{unit}"
    groups = [group]
    if not variable and chance.random() < 0.2:
        groups.append(f"{(direction - 30) % 360:03}V{(direction + 30) % 360:03}")
    return groups, None if variable else direction, speed * factor, gust * factor if gust else None


def _visibility(chance: random.Random, american: bool) -> tuple[str, float]:
    if american:
        text, miles = chance.choice(
            [("10SM", 10.0), ("3SM", 3.0), ("1 1/2SM", 1.5), ("3/4SM", 0.75), ("M1/4SM", 0.25), ("P6SM", 6.0)]
        )
        return text, miles * 1609.344
    return chance.choice(
        [("CAVOK", 10_000.0), ("9999", 10_000.0), ("4000", 4000.0), ("0300", 300.0), ("0000", 50.0)]
    )


def _clouds(chance: random.Random) -> tuple[list[str], int | None]:
    if chance.random() < 0.25:
        return [chance.choice(["NSC", "SKC", "CLR", "NCD"])], None
    if chance.random() < 0.1:
        hundreds = chance.randint(1, 9)
        return [f"VV{hundreds:03}"], hundreds * 100
    layers, ceiling = [], None
    for base in sorted(chance.sample(range(3, 240), chance.randint(1, 3))):
        cover = chance.choice(["FEW", "SCT", "BKN", "OVC"])
        layers.append(f"{cover}{base:03}{chance.choice(['', '', 'CB', 'TCU'])}")
        if cover in ("BKN", "OVC") and ceiling is None:
            ceiling = base * 100
    return layers, ceiling


def _pressure(chance: random.Random, american: bool) -> tuple[str, float]:
    if american:
        hundredths = chance.randint(2850, 3090)
        return f"A{hundredths}", hundredths / 100 * 33.86389
    hpa = chance.randint(960, 1050)
    return f"Q{hpa:04}", float(hpa)


def _signed(celsius: int) -> str:
    return f"M{-celsius:02}" if celsius < 0 else f"{celsius:02}"
