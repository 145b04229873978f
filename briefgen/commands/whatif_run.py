"""What ``briefgen whatif`` does: the list with its edges, or the user's own change against the file as
written."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.passes import of_pass
from briefgen.brief.wording.whatif import WhatIfLine, edge_lines, lines_of
from briefgen.build.build import EXIT_FILE_WRONG, EXIT_FINE, EXIT_GATE_FAILS
from briefgen.commands.report import diagnostic_object, print_json
from briefgen.console import complain, diagnostic_text, say, table_text
from briefgen.core.diagnostics import Diagnostic, Span, has_errors
from briefgen.mission.load import load_mission
from briefgen.plan.build import make_plan
from briefgen.plan.fuel.flight import fuel_of_block, fuel_of_pass
from briefgen.plan.sortie import Plan
from briefgen.units.values import FuelUnit
from briefgen.whatif.answers import what_if
from briefgen.whatif.edges import edges_of
from briefgen.whatif.outcome import SortieOutcome, outcome_of


def listed(file: Path, *, as_json: bool) -> int:
    """The whole list, diverts and edges."""
    plan, problems, texts = _planned(file, ())
    if plan is None:
        return _wrong(file, problems, texts, as_json=as_json)
    lines, edges = lines_of(what_if(plan)), edge_lines(edges_of(plan), plan)
    if as_json:
        print_json(
            {
                "file": str(file),
                "exit_code": EXIT_FINE,
                "what_if": [_object(line) for line in lines],
                "edges": [_object(line) for line in edges],
            }
        )
        return EXIT_FINE
    for title, rows in (("What if", lines), ("\nHow far it can go", edges)):
        if rows:
            say(title)
            say(table_text([[line.change, line.outcome] for line in rows]))
    say(f"\n{file}: planning aid only; each line is the whole mission planned again with that one change.")
    return EXIT_FINE


def _object(line: WhatIfLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "change": line.change,
        "outcome": line.outcome,
        "worse": line.worse,
        "pass": line.fate,
    }


def _wrong(file: Path, problems: list[Diagnostic], texts: Mapping[str, str], *, as_json: bool) -> int:
    if as_json:
        print_json(
            {
                "file": str(file),
                "exit_code": EXIT_FILE_WRONG,
                "diagnostics": [diagnostic_object(problem) for problem in problems],
            }
        )
    else:
        for problem in problems:
            complain(diagnostic_text(problem, texts))
    return EXIT_FILE_WRONG


# ---------------------------------------------------------------- a change of the user's own


def with_edits(file: Path, edits: tuple[str, ...], *, as_json: bool) -> int:
    """The plan with some values of the file changed, against the plan as written."""
    pairs = [tuple(edit.split("=", 1)) for edit in edits]
    if bad := [edit for edit, pair in zip(edits, pairs, strict=True) if len(pair) != 2]:
        return _wrong(file, [_no_value(edit) for edit in bad], {}, as_json=as_json)
    before, problems, texts = _planned(file, ())
    if before is None:
        return _wrong(file, problems, texts, as_json=as_json)
    after, problems, texts = _planned(file, tuple((key.strip(), value.strip()) for key, value in pairs))
    if after is None:
        return _wrong(file, problems, texts, as_json=as_json)
    exit_code = EXIT_GATE_FAILS if any(gate.verdict == "FAIL" for gate in after.gates) else EXIT_FINE
    rows, turned = differences(before, after), turned_gates(before, after)
    if as_json:
        changes = [{"what": what, "was": was, "is": now} for what, was, now in rows]
        gates = [{"gate": id, "was": was, "is": now, "figures": text} for id, was, now, text in turned]
        print_json(
            {
                "file": str(file),
                "exit_code": exit_code,
                "set": list(edits),
                "changes": changes,
                "gates": gates,
            }
        )
        return exit_code
    say(f"{file} with {', '.join(edits)}")
    say(
        table_text([["", "as written", "changed"], *([what, was, now] for what, was, now in rows)])
        if rows
        else "nothing that is told here changes"
    )
    if turned:
        say("\nGates that turn")
        say(table_text([[f"{was} to {now}", id, text] for id, was, now, text in turned]))
    return exit_code


def _no_value(edit: str) -> Diagnostic:
    span = Span("--set", 1, 1, 1, 1 + len(edit))
    return Diagnostic(
        "edit",
        "error",
        f'"{edit}" has no "="',
        span,
        "",
        'write key=value, such as --set ground_ops.takeoff="12:53:00 base"',
    )


def _planned(
    file: Path, edits: tuple[tuple[str, str], ...]
) -> tuple[Plan | None, list[Diagnostic], Mapping[str, str]]:
    mission, problems = load_mission(file, edits)
    if mission is None:
        texts = {f"--set {key}": f"value: {value}\n" for key, value in edits}
        return None, problems, {**texts, str(file): _text(file)}
    plan, found = make_plan(mission)
    located = [*problems, *(mission.source.spans.locate(problem) for problem in found)]
    return (None if has_errors(located) else plan), located, mission.source.texts


def _text(file: Path) -> str:
    from briefgen.mission.read.characters import read_file

    try:
        return read_file(file).decode("utf-8", "replace")
    except OSError:
        return ""


def differences(before: Plan, after: Plan) -> list[tuple[str, str, str]]:
    """What is told of two plans, where it differs: (what, as written, changed)."""
    was, now = (_told_words(plan) for plan in (before, after))
    return [
        (what, was.get(what, "none"), now.get(what, "none"))
        for what in dict.fromkeys((*was, *now))
        if was.get(what) != now.get(what)
    ]


def _told_words(plan: Plan) -> dict[str, str]:
    told, unit = outcome_of(plan), plan.mission.file.fuel.display
    day = (told.true_time or told.takeoff).date()
    found = {"take-off": words.clock_z(told.takeoff, day=day)}
    for block in plan.trainings:
        found[f"set-ups{in_block(plan, block.id)}"] = str(block.setups_flown)
    for pass_ in plan.passes:
        of = of_pass(pass_.section)
        found[f"true time over target{of}"] = words.clock_z(pass_.true_time, day=day)
        if pass_.hold is not None:
            found[f"hold{of}"] = words.duration(pass_.hold.wait_s)
    found |= {"last landing": words.clock_z(told.last_landing, day=day)} | _fuel_words(plan, told, unit)
    return found


def _fuel_words(plan: Plan, told: SortieOutcome, unit: FuelUnit) -> dict[str, str]:
    fuel = plan.fuel
    if fuel is None:
        return {"fuel": "NOT CHECKED"}
    known: dict[str, float | None] = {}
    for block in plan.trainings:
        of_block, of = fuel_of_block(fuel, block.id), in_block(plan, block.id)
        known |= {f"joker{of}": of_block.joker, f"bingo of the training{of}": of_block.bingo_training}
    for pass_ in plan.passes:
        own = fuel_of_pass(fuel, pass_.section.id)
        known[f"bingo{of_pass(pass_.section) or ' of the event'}"] = own.bingo_event
    found = {what: words.fuel_figure(figure, unit) for what, figure in known.items() if figure is not None}
    for ship in fuel.ships:
        found[f"landing fuel of ship {ship.ship}"] = words.fuel_figure(ship.landing_predicted, unit)
    return {**found, "thirstiest ship": str(told.thirstiest)}


def turned_gates(before: Plan, after: Plan) -> list[tuple[str, str, str, str]]:
    """Gates whose verdict turns: (title, verdict as written, verdict now, the figures now)."""
    day = after.clock.takeoff.date()
    was = {gate.id: gate.verdict for gate in before.gates}
    now = [gate for gate in after.gates if was.get(gate.id, "none") != gate.verdict]
    gone = [gate for gate in before.gates if gate.id not in {other.id for other in after.gates}]
    turned = [
        (gate.title, was.get(gate.id, "none"), gate.verdict, figures_words(gate, day=day)) for gate in now
    ]
    return [*turned, *((gate.title, gate.verdict, "none", "") for gate in gone)]
