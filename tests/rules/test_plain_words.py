"""Every rule can be explained, and nothing is explained that is no rule.

Ids of rules reach findings through helpers, tables and choices. So each text in the source of the rules that
looks like an id (words in small letters, joined by hyphens) counts as one, and each text that is put together
from such a part has to be of a family whose members are known here.
"""

import ast
import re
from pathlib import Path
from types import SimpleNamespace

import planner
from planner.flight.below import OF_PEOPLE, Below
from planner.plan.aircraft import RadioUse
from planner.plan.model import Purpose
from planner.rules.beneath_judged import no_people
from planner.rules.plain_words import PLAIN_WORDS, plain_words
from planner.rules.verdict import Verdict
from planner.world.layers import LayerName

_PROGRAM = Path(planner.__file__).parent
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+")
_START, _END = re.compile(r"([a-z0-9]+-)+"), re.compile(r"(-[a-z0-9]+)+")
_NO_RULES = {verdict.value for verdict in Verdict}


def trees_of_rules():
    paths = [path for path in sorted((_PROGRAM / "rules").glob("*.py")) if "plain_words" not in path.name]
    return [ast.parse(path.read_text("utf-8")) for path in paths]


def texts(node):
    """Return the texts in a piece of source."""
    return [
        one.value for one in ast.walk(node) if isinstance(one, ast.Constant) and isinstance(one.value, str)
    ]


def whole_ids():
    return {text for tree in trees_of_rules() for text in texts(tree) if _ID.fullmatch(text)} - _NO_RULES


def parts_of_ids():
    """Return the parts from which ids are put together, by a sum or a text with a gap at its start or end."""
    found = set()
    for tree in trees_of_rules():
        for node in ast.walk(tree):
            ends = {ast.BinOp: ("left", "right"), ast.JoinedStr: ("values",)}.get(type(node), ())
            made = [part for end in ends for part in _listed(getattr(node, end))]
            if len(made) == 2:
                found |= {text for text in texts(made[0]) if _START.fullmatch(text)}
                found |= {text for text in texts(made[1]) if _END.fullmatch(text)}
    return found


def _listed(value):
    return value if isinstance(value, list) else [value]


def members():
    """Return the ids of each family that is put together, by its part."""
    plan = SimpleNamespace(purpose=Purpose.PART_107)
    places = [
        below
        for below in Below
        if below not in OF_PEOPLE and no_people(plan, SimpleNamespace(below=below)) is not None
    ]
    return {
        "data-": {f"data-{layer.value.replace('_', '-')}" for layer in LayerName},
        "over-": {f"over-{below.value}" for below in places},
        "-margin": {f"{use.value}-margin" for use in RadioUse},
    }


def every_id():
    return whole_ids().union(*members().values())


def test_each_rule_has_its_plain_words():
    lacking = sorted(rule for rule in every_id() if not plain_words(rule))
    assert lacking == [], "say in planner/rules/plain_words.py what these rules say"


def test_nothing_is_explained_that_is_no_rule():
    assert sorted(PLAIN_WORDS.keys() - every_id()) == []


def test_ids_are_put_together_in_known_families_only():
    assert parts_of_ids() == members().keys()


def test_an_id_is_told_from_other_words_by_its_hyphen():
    named = {
        text
        for tree in trees_of_rules()
        for node in ast.walk(tree)
        if isinstance(node, ast.keyword) and node.arg == "rule"
        for text in texts(node.value)
        if re.search("[a-z]", text)
    }
    assert len(named) > 50
    assert [text for text in (*PLAIN_WORDS, *named) if "-" not in text] == []


def test_findings_are_made_by_the_rules_only():
    elsewhere = [
        str(path.relative_to(_PROGRAM))
        for path in sorted(_PROGRAM.rglob("*.py"))
        if path.parent.name != "rules" and re.search(r"\bFinding\(", path.read_text("utf-8"))
    ]
    assert elsewhere == []


def test_rules_on_data_share_their_words():
    assert plain_words("data-terrain") == plain_words("data-facility-map") != ""


def test_the_words_are_whole_sentences():
    assert all(text.endswith((".", ":")) and text[0].isupper() for text in PLAIN_WORDS.values())
