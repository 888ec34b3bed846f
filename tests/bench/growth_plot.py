"""How figures grow with the size of a country, drawn as one picture (SVG)."""

from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path

import attrs
import numpy as np

_WIDTH, _HEIGHT, _LEFT, _RIGHT, _BELOW, _ABOVE = 360, 220, 40, 40, 34, 30
_ACROSS = 3


@attrs.frozen
class Figure:
    """What is drawn in one panel: its name in the results, a title with the unit, the aim if there is one."""

    key: str
    title: str
    aim: float | None = None


FIGURES = (
    Figure("import_total_s", "import [s]"),
    Figure("import_ratio", "import, times a bare read and write", 2.0),
    Figure("open_ms", "opening a plan's surroundings, median [ms]", 100.0),
    Figure("assess_first_ms", "first live assessment, median [ms]"),
    Figure("edit_ms", "live edit, median [ms]", 16.0),
    Figure("growth_mb", "growth of the process [MB]", 200.0),
    Figure("import_peak_mb", "peak while importing [MB]"),
    Figure("set_mb", "chart set on disk [MB]"),
    Figure("features", "features about a plan, median"),
)


def draw(found: Sequence[Mapping[str, float]], path: Path) -> None:
    """Write a picture with a panel for each figure over the share of the country."""
    panels = [
        f'<g transform="translate({_WIDTH * (place % _ACROSS)} {_HEIGHT * (place // _ACROSS)})">'
        f"{_panel(figure, found)}</g>"
        for place, figure in enumerate(FIGURES)
    ]
    height = _HEIGHT * -(-len(FIGURES) // _ACROSS)
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH * _ACROSS}" height="{height}" '
        f'font-family="sans-serif" font-size="11"><rect width="100%" height="100%" fill="white"/>'
        f"{''.join(panels)}</svg>",
        encoding="utf-8",
    )


def _panel(figure: Figure, found: Sequence[Mapping[str, float]]) -> str:
    shares = np.array([one["share"] for one in found], dtype=float)
    values = np.array([one[figure.key] for one in found], dtype=float)
    top = 1.15 * max(values.max(), figure.aim or 0.0, 1e-9)
    x = _LEFT + shares / shares.max() * (_WIDTH - _LEFT - _RIGHT)
    y = _ABOVE + (1 - values / top) * (_HEIGHT - _ABOVE - _BELOW)
    bottom, right = _HEIGHT - _BELOW, _WIDTH - _RIGHT
    parts = [
        f'<text x="{_LEFT}" y="18" font-weight="bold">{escape(figure.title)}</text>',
        f'<path d="M{_LEFT} {_ABOVE}V{bottom}H{right}" fill="none" stroke="black"/>',
        f'<text x="{right}" y="{_HEIGHT - 4}" text-anchor="end">share of the country</text>',
    ]
    if figure.aim is not None:
        level = _ABOVE + (1 - figure.aim / top) * (bottom - _ABOVE)
        parts.append(
            f'<path d="M{_LEFT} {level:.1f}H{right}" stroke="black" stroke-dasharray="5 4"/>'
            f'<text x="{right}" y="{level - 4:.1f}" text-anchor="end">aim {figure.aim:g}</text>'
        )
    points = " ".join(f"{one:.1f},{other:.1f}" for one, other in zip(x, y, strict=True))
    parts.append(f'<polyline points="{points}" fill="none" stroke="#7a3b00" stroke-width="2"/>')
    for one, other, value, share in zip(x, y, values, shares, strict=True):
        parts.append(
            f'<circle cx="{one:.1f}" cy="{other:.1f}" r="3" fill="#7a3b00"/>'
            f'<text x="{one:.1f}" y="{other - 7:.1f}" text-anchor="middle">{_said(value)}</text>'
            f'<text x="{one:.1f}" y="{bottom + 14}" text-anchor="middle">{share:g}</text>'
        )
    return "".join(parts)


def _said(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.3g}"
