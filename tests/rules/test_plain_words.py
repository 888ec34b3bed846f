"""Every rule can be explained, and nothing is explained that is no rule."""

import ast
from pathlib import Path

import planner.rules
from planner.rules.plain_words import PLAIN_WORDS, plain_words

_FOLDER = Path(planner.rules.__file__).parent


def rule_ids():
    """Find the ids in the source: `rule="..."`, and the first word of those made by helpers."""
    found = set()
    for path in sorted(_FOLDER.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            named = [word.value for word in node.keywords if word.arg == "rule"]
            helper = isinstance(node.func, ast.Name) and node.func.id == "_missing"
            for value in [*named, *(node.args[:1] if helper else [])]:
                if isinstance(value, ast.Constant):
                    found.add(value.value)
    return found


def test_each_rule_has_its_plain_words():
    lacking = sorted(rule for rule in rule_ids() if not plain_words(rule))
    assert lacking == [], "say in planner/rules/plain_words.py what these rules say"


def test_rules_on_data_share_their_words():
    assert plain_words("data-terrain") == plain_words("data-facility-map") != ""


def test_the_words_are_whole_sentences():
    assert all(text.endswith((".", ":")) and text[0].isupper() for text in PLAIN_WORDS.values())
