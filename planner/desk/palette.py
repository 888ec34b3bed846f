"""The few colours of the desk: paper, ink, and one accent for what has to be asked for."""

from typing import Final

PAPER: Final = "#fbf9f3"
PAPER_DEEP: Final = "#efeadd"
PAPER_PICKED: Final = "#f3eee0"
RULE: Final = "#d9d2c1"
INK: Final = "#1f2b2a"
INK_SOFT: Final = "#5d6460"
HINT: Final = "#6a6e66"
"""What stands in an empty field, on white."""
ASK: Final = "#2450a8"
PLAN: Final = "#1d5c57"

TOKENS: Final = {
    "paper": PAPER,
    "paper-deep": PAPER_DEEP,
    "paper-picked": PAPER_PICKED,
    "rule": RULE,
    "ink": INK,
    "ink-soft": INK_SOFT,
    "ask": ASK,
    "plan": PLAN,
}
