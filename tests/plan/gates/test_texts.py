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
        if isinstance(node, ast.Call)
        and name in (getattr(node.func, "id", ""), getattr(node.func, "attr", ""))
    ]


def uses() -> list[str]:
    """Patterns of the rows that are asked for: ``text("party-N")``, ``text(f"hold-{bound}")``, and the
    figures of an airfield."""
    found = [f".+-{figure}" for figure in ("ceiling", "visibility", "crosswind", "open", "density-altitude")]
    for _, call in calls("text"):
        match call.args[0]:
            case ast.Constant(value=id):
                found.append(re.escape(id))
            case ast.JoinedStr(values=parts) if isinstance(parts[0], ast.Constant) or len(parts) == 2:
                found.append("".join(p.value if isinstance(p, ast.Constant) else ".+" for p in parts))
    return found


def test_every_row_is_used_and_every_use_has_a_row():
    used = uses()
    assert [id for id in texts.TEXTS if not any(re.fullmatch(use, id) for use in used)] == []
    assert [use for use in used if not any(re.fullmatch(use, id) for id in texts.TEXTS)] == []


def test_a_gate_of_one_name_has_its_texts_in_the_table():
    """Those that stand for a leg of the way are called by it where they are judged."""
    assert [file for file, _ in calls("About")] == ["legs.py"]


@pytest.mark.parametrize(
    ("id", "n", "named", "said"),
    [
        ("party-N", 3, {"who": "Harbour tower"}, ("party-3", "Harbour tower holds this time")),
        ("divert-N-open", 2, {"place": "WICK"}, ("divert-2-open", "Divert WICK: open when it may be needed")),
        ("landing-ceiling", None, {"place": "LEEBY"}, ("landing-ceiling", "Landing: ceiling")),
    ],
)
def test_what_hangs_on_the_mission_is_filled_in(id, n, named, said):
    row = texts.text(id, n, **named)
    assert (row.id, row.title) == said


def test_no_row_stands_for_a_gate_that_there_is_not():
    assert texts.TEXTS.keys() - names() == set()
    assert len(texts.TEXTS) > 105


@pytest.mark.parametrize("row", texts.TEXTS.values(), ids=lambda row: row.id)
def test_no_row_has_a_blank_or_a_full_stop(row):
    for words in (row.title, row.remedy, row.source.words):
        assert words == words.strip() and not words.endswith(".") and not re.search(r"\s\s", words)
