"""Setting one sheet after the other."""

from planner.briefing.typesetting import typeset
from tests.held_memory import held_mb

TEMPLATE = """
#let told = json(bytes(sys.inputs.briefing))
#for line in range(80) [#par[#for word in range(8) [#told.name #box(rotate(1deg)[#line])]]]
"""


def test_what_is_set_leaves_nothing_in_memory(tmp_path):
    """Our own bound (issue 8: a day's use): typst remembers the last ten settings, some 30 MB for a sheet."""
    (tmp_path / "many.typ").write_text(TEMPLATE, "utf-8")
    held = []
    for turn in range(4):
        typeset({"name": f"flight {turn}"}, None, "many.typ", tmp_path)
        held.append(held_mb())
    assert held[-1] - held[0] < 2.0, held
