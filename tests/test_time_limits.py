"""A time limit is rounded toward the safe side by one function, ``time_limit``, in every medium: a latest
moment down, an earliest moment up.

The first part holds the function against plain arithmetic; the second reads the source with ``ast``: nothing
that is a limit reaches a printed clock by another way.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from briefgen.brief.wording.format import hours_z, time_limit
from briefgen.brief.wording.gates import figures_words
from briefgen.plan.model import Gate
from tests.places import REPOSITORY
from tests.trees import nodes_of, tree_of

PACKAGE = REPOSITORY / "briefgen"
BASE = datetime(2027, 1, 30, 3, 25, tzinfo=UTC)


@pytest.mark.parametrize(
    ("second", "side", "printed"),
    [
        (59.0, "latest", 59),
        (59.999, "latest", 59),
        (59.9999995, "latest", 60),
        (0.4, "latest", 0),
        (-0.2, "latest", -1),
        (59.0, "earliest", 59),
        (59.001, "earliest", 60),
        (59.0000005, "earliest", 59),
        (0.4, "earliest", 1),
        (-0.2, "earliest", 0),
    ],
)
def test_a_latest_moment_goes_down_and_an_earliest_up(second, side, printed):
    """By hand; a microsecond is what an instant is known to, so it makes no other second."""
    assert time_limit(BASE + timedelta(seconds=second), side) == BASE + timedelta(seconds=printed)


@pytest.mark.parametrize(
    ("second", "side", "minute"),
    [(59.0, "latest", 0), (60.0, "latest", 1), (0.0, "earliest", 0), (1.0, "earliest", 1)],
)
def test_to_the_minute_too(second, side, minute):
    assert time_limit(BASE + timedelta(seconds=second), side, seconds=False) == BASE + timedelta(
        minutes=minute
    )


def test_hours_are_never_printed_wider_than_they_are():
    """03:25:30 to 03:40:40 holds the whole minutes 03:26 to 03:40."""
    assert (
        hours_z(BASE + timedelta(seconds=30), BASE + timedelta(minutes=15, seconds=40)) == "03:26 to 03:40 Z"
    )


GATES = [
    # (value, limit, sense, what is read): a kept limit never reads as broken, nor a broken one as kept
    (43.6, 43.9, "at most", "03:25:43 Z (not after 03:25:43 Z)"),
    (43.95, 43.9, "at most", "03:25:44 Z (not after 03:25:43 Z)"),
    (43.2, 43.1, "at most", "03:25:44 Z (not after 03:25:43 Z)"),
    (20.0, 43.9, "at most", "03:25:20 Z (not after 03:25:43 Z)"),
    (43.4, 43.2, "at least", "03:25:44 Z (not before 03:25:44 Z)"),
    (43.6, 43.9, "at least", "03:25:43 Z (not before 03:25:44 Z)"),
]


@pytest.mark.parametrize(("value", "limit", "sense", "read"), GATES)
def test_a_gate_of_two_instants_reads_as_it_is_judged(value, limit, sense, read):
    at, bound = BASE + timedelta(seconds=value), BASE + timedelta(seconds=limit)
    gate = Gate("x", "X", "PASS", at, bound, None, "instant", sense, "", "", ())
    assert figures_words(gate, day=BASE.date()) == read


# ---------------------------------------------------------------- nothing goes another way

# fields of plans and answers that are the latest or earliest moment of something
LIMITS = {
    "told_by",
    "say_by",
    "met_until",
    "holds_until",
    "knock_off",
    "go_home",
    "joker_reached",
    "latest_t",
    "last_begin",
    "early_until",
    "late_until",
    "lapses",
    "latest_takeoff",
    "earliest",
    "latest",
}
ROOMS = ("brief", "render", "retime", "whatif", "compare", "approval", "commands", "debrief", "export")
NEAREST = {
    "clock_z",
    "clock_local",
    "clock_bare",
    "clock_both",
    "z",
    "bare",
    "local",
    "both",
    "at_event",
    "column",
    "event_column",
    "_columns",
    "at_base",
    "_z",
    "_both",
    "_bare",
    "clock_words",
    "clock_spoken",
}
SAFE = {
    "time_limit",
    "by",
    "by_both",
    "by_column",
    "by_event_column",
    "_by_columns",
    "_last",
    "told_by_words",
}


def sources() -> Iterator[tuple[Path, ast.Module]]:
    for room in ROOMS:
        for path in sorted((PACKAGE / room).rglob("*.py")):
            yield path, tree_of(path)


def called(node: ast.AST) -> str:
    func = node.func if isinstance(node, ast.Call) else None
    return func.attr if isinstance(func, ast.Attribute) else func.id if isinstance(func, ast.Name) else ""


def limits_in(node: ast.AST, tainted: frozenset[str] = frozenset()) -> Iterator[str]:
    """Limits that a piece of source hands on as they are: not those inside a safe call, a difference of
    instants, a comparison or a condition."""
    if isinstance(node, ast.Call) and called(node) in SAFE:
        return
    if isinstance(node, ast.Compare) or (isinstance(node, ast.BinOp) and isinstance(node.op, ast.Sub)):
        return
    if isinstance(node, ast.Attribute) and node.attr in LIMITS:
        yield node.attr
        return
    if isinstance(node, ast.Name) and node.id in tainted:
        yield node.id
    children = [node.body, node.orelse] if isinstance(node, ast.IfExp) else ast.iter_child_nodes(node)
    for child in children:
        yield from limits_in(child, tainted)


def tainted_in(nodes: list[ast.AST]) -> frozenset[str]:
    """Names of a function that stand for a limit not yet rounded: one assignment deep."""
    found = set()
    for node in nodes:
        if (
            isinstance(node, ast.Assign)
            and len(node.targets) == 1
            and isinstance(node.value, ast.Attribute | ast.IfExp)
            and any(limits_in(node.value))
        ):
            found |= {target.id for target in node.targets if isinstance(target, ast.Name)}
        elif (
            isinstance(node, ast.Assign)
            and isinstance(node.targets[0], ast.Tuple)
            and isinstance(node.value, ast.Tuple)
        ):
            found |= {
                t.id
                for t, v in zip(node.targets[0].elts, node.value.elts, strict=False)
                if isinstance(t, ast.Name) and any(limits_in(v))
            }
    return frozenset(found)


def unsafe(tree: ast.Module) -> Iterator[tuple[int, str]]:
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
        nodes = [*ast.walk(function)]
        tainted = tainted_in(nodes)
        for node in nodes:
            if isinstance(node, ast.Call) and called(node) in NEAREST:
                yield from (
                    (node.lineno, f"{called(node)}({name})")
                    for argument in node.args
                    for name in limits_in(argument, tainted)
                )


def test_no_limit_reaches_a_printed_clock_but_through_the_one_function():
    found = [
        f"{path.relative_to(PACKAGE)}:{line}: {what}"
        for path, tree in sources()
        for line, what in unsafe(tree)
    ]
    assert found == []


def test_the_reading_of_the_source_sees_a_limit():
    """The check itself, on three lines that must not pass and two that may."""
    source = (
        "def f(told, row):\n    told.z(row.told_by)\n    at = row.go_home if row else None\n   "
        " told.bare(at)\n    words.clock_z(max(row.latest_t, row.t))\n"
    )
    source += "    told.z(words.time_limit(row.told_by, 'latest'))\n    told.by(at)\n"
    assert [line for line, _ in unsafe(ast.parse(source))] == [2, 4, 5]


def test_no_instant_is_cut_to_a_second_elsewhere():
    """``replace(microsecond=0)`` cuts an instant, as a limit is rounded; a record's own instant is cut when
    it is made, a search by whole seconds begins on one, and midnight is no rounding."""
    allowed = {"brief/wording/format.py", "commands/approve.py", "whatif/edges.py"}
    found = []
    for path, _ in sources():
        for node in nodes_of(path):
            words = (
                {k.arg for k in node.keywords}
                if isinstance(node, ast.Call) and called(node) == "replace"
                else set()
            )
            if (
                "microsecond" in words
                and "hour" not in words
                and path.relative_to(PACKAGE).as_posix() not in allowed
            ):
                found.append(f"{path.relative_to(PACKAGE)}:{node.lineno}")
    assert found == []


def test_the_clock_page_rounds_limits_in_one_place_too():
    """Its scripts call ``Math.floor`` or ``Math.ceil`` on an instant only in ``timeLimit``, and name every
    ``by`` through ``limitClock``."""
    scripts = {
        path.name: path.read_text(encoding="utf-8")
        for path in sorted((PACKAGE / "render" / "html").glob("clock_*.js"))
    }
    assert sum(len(re.findall(r"timeLimit = \(", text)) for text in scripts.values()) == 1
    for name, text in scripts.items():
        for sentence in re.findall(r"`[^`]*(?:by|later than|No T before|in the hold at) \$\{([^}]*)\}", text):
            assert sentence.startswith("limitClock(") or (
                "Clock(" not in sentence and "clockText" not in sentence
            ), (name, sentence)
