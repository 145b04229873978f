"""The texts of the gates stand in a table, a row each, and the functions of the topics hold no others: what a
gate is called is changed in one place."""

from __future__ import annotations

import ast
import re

import pytest

from briefgen.plan.gates import texts
from tests.places import REPOSITORY
from tests.plan.gates.test_every_gate import names

ROOM = REPOSITORY / "briefgen" / "plan" / "gates"
TABLES = ("__init__.py", "table.py", "texts.py", "verdicts.py", "by_hand.py")


def calls(name: str) -> list[tuple[str, ast.Call]]:
    """Every call of a function in the topics' modules."""
    return [
        (path.name, node)
        for path in sorted(ROOM.glob("*.py"))
        if path.name not in TABLES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name
    ]


def test_every_row_is_used_and_every_use_has_a_row():
    used = {call.args[0].value for _, call in calls("text") if isinstance(call.args[0], ast.Constant)}
    assert used == set(texts.TEXTS)


def test_a_gate_of_one_name_has_its_texts_in_the_table():
    """Those whose very name hangs on the mission (a place, a bound, an entry of a list) are made where they
    are judged."""
    literal = [
        (file, call.args[0].value) for file, call in calls("About") if isinstance(call.args[0], ast.Constant)
    ]
    assert literal == []


def test_no_row_stands_for_a_gate_that_there_is_not():
    assert [id for id in texts.TEXTS if id not in names()] == []
    assert len(texts.TEXTS) > 75


@pytest.mark.parametrize("row", texts.TEXTS.values(), ids=lambda row: row.id)
def test_no_row_has_a_blank_or_a_full_stop(row):
    for words in (row.title, row.remedy, row.source.words):
        assert words == words.strip() and not words.endswith(".") and not re.search(r"\s\s", words)
