"""What ``check`` and ``build`` tell, as lines for people and as objects for machines."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from briefgen.build.build import Built, Checked, Outcome, approval_of
from briefgen.console import counts_text, diagnostic_text, say, table_text, wrapped
from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.plain import to_plain

MOST_SHOWN = 5  # lines that are written out
VERDICTS = ("FAIL", "CAUTION", "NOT CHECKED", "WAIVED", "PASS")
FEWEST_IN_ONE_ROW = 3  # gates that lack the same; fewer are told one by one


def print_json(document: Any) -> None:
    """Print one JSON object, in ASCII, so that every console and pipe takes it."""
    say(json.dumps(document, ensure_ascii=True, allow_nan=False, indent=1))


def check_lines(checked: Checked) -> Iterator[str]:
    """Diagnostics, then gates, then clock times, then one line that says it all."""
    for diagnostic in checked.diagnostics:
        yield diagnostic_text(diagnostic, checked.texts)
    if checked.plan is not None:
        yield from _section("Gates", gate_rows(checked))
        yield from waiver_lines(checked)
    if checked.mission is not None:
        yield from _section("Clock times as typed, and in Zulu", time_rows(checked))
    if checked.fingerprint is not None:
        yield ""
        yield wrapped(
            f"Time zone database {_tz_version()}. Cards of this plan read {checked.fingerprint.spoken}."
        )
        yield from _approval_lines(checked)
    yield wrapped(verdict_line(checked))


def _approval_lines(checked: Checked) -> Iterator[str]:
    """What the record beside the mission says of this plan, in one line; and what is wrong with the
    record."""
    state, found = approval_of(checked)
    yield from (diagnostic_text(diagnostic, {}) for diagnostic in found)
    yield wrapped(f"{state.stamp}: {state.words}")


def _section(title: str, rows: list[list[str]]) -> Iterator[str]:
    if rows:
        yield ""
        yield title
        yield table_text(rows)


def verdict_line(checked: Checked) -> str:
    """The last line of a check: what counts, in one sentence."""
    problems = counts_text(checked.diagnostics)
    if checked.plan is None:
        return f"{checked.path}: not planned: {problems or 'no plan came out'}"
    from briefgen.brief.wording.open_limits import tally as tally_of

    tally = tally_of(checked.plan.gates)
    gates = ", ".join(f"{tally[verdict]} {verdict}" for verdict in VERDICTS if tally[verdict])
    return f"{checked.path}: gates: {gates or 'none'}" + (f"; {problems}" if problems else "")


def gate_rows(checked: Checked) -> list[list[str]]:
    """Verdict, title with the id of what is open, value against limit, reason with source, place in the file;
    the worst first, then as in the list of gates; those that lack the same one thing in one row."""
    from briefgen.brief.wording.open_limits import told_gates

    gates = sorted(told_gates(checked.plan.gates), key=lambda gate: VERDICTS.index(gate.verdict))
    alike: dict[Any, list[Any]] = {}
    for gate in gates:
        alike.setdefault(_one_reason(gate), []).append(gate)
    many = {key: group for key, group in alike.items() if len(group) >= FEWEST_IN_ONE_ROW}
    return [
        _row_of_many(group, checked) if group else _gate_row(gate, checked)
        for gate in gates
        if not (group := many.get(_one_reason(gate), [])) or gate is group[0]
    ]


def _one_reason(gate: Any) -> Any:
    """The same for gates that lack the same; a gate's own for every other."""
    shared = gate.lacks == "data" and gate.settled_by is not None
    return (gate.settled_by, gate.why) if shared else gate.id


def _gate_row(gate: Any, checked: Checked) -> list[str]:
    from briefgen.brief.wording.gates import figures_words, named

    figures = figures_words(gate, day=checked.plan.clock.takeoff.date())
    return [gate.verdict, named(gate), figures, _reason(gate, checked)]


def _row_of_many(group: list[Any], checked: Checked) -> list[str]:
    """The gates that the same key settles, with their one reason."""
    from briefgen.brief.wording.gates import figures_words, named
    from briefgen.mission.read.tree import dotted

    day = checked.plan.clock.takeoff.date()
    each = [
        named(gate) + (f" {figures_words(gate, day=day)}" if gate.value is not None else "") for gate in group
    ]
    key = dotted(group[0].settled_by)
    reason = f"{group[0].why}; settled by the key {key}: {', '.join(each)}"
    return [group[0].verdict, f"{len(group)} gates for one reason", "not known", reason]


def time_rows(checked: Checked) -> list[list[str]]:
    """Every clock time of the file that was not typed in Zulu: where, as typed, the instants in Zulu (two for
    a range)."""
    from briefgen.mission.read.tree import dotted

    times = [time for time in checked.mission.typed_times if not time.zulu]
    grouped = groupby(times, key=lambda time: (dotted(time.path), time.text))
    return [
        [where, typed, " to ".join(_zulu(time.instant) for time in group)]
        for (where, typed), group in grouped
    ]


def waiver_lines(checked: Checked) -> Iterator[str]:
    """The lines that waive what FAILs, once reference and authority are filled in; nothing without such a
    FAIL, nor for one that a waiver of the file names already."""
    from briefgen.brief.wording.format import listed

    waivers, date = checked.mission.file.waivers, checked.mission.date.isoformat()
    rules = [
        gate.id
        for gate in checked.plan.gates
        if gate.verdict == "FAIL" and gate.waivable and gate.id not in {waiver.rule for waiver in waivers}
    ]
    if not rules:
        return
    first = checked.mission.source.spans.values[("waivers", 0)] if waivers else None
    where = f"below the others, line {first.line}" if first is not None else "at the end of the file"
    yield ""
    yield wrapped(
        f"A FAIL that an authority has waived: its line, {where}, with what the authority gave behind"
        " reference and authority"
    )
    if first is None:
        yield "waivers:"
    indent = " " * (first.column - 3 if first is not None else 2)
    yield from (
        f"{indent}- {{rule: {rule}, reference: , authority: , valid: {date} to {date}}}"
        for rule in rules[:MOST_SHOWN]
    )
    if rules[MOST_SHOWN:]:
        yield wrapped(f"  In the same way: {listed(rules[MOST_SHOWN:])}")


def _reason(gate: Any, checked: Checked) -> str:
    from briefgen.brief.wording.gates import never_waived
    from briefgen.mission.read.tree import dotted

    place = (
        f"settled by the key {dotted(gate.settled_by)}"
        if gate.settled_by is not None
        else _place_words(gate, checked)
    )
    return "; ".join(part for part in (gate.why, gate.waiver, never_waived(gate), gate.source, place) if part)


def _place_words(gate: Any, checked: Checked) -> str:
    from briefgen.mission.read.tree import dotted

    span = checked.mission.source.spans.value(gate.cause)
    # what is missing has no line: the key that would say it
    return f"line {span.line}" if span else dotted(gate.cause)


def _zulu(instant: datetime) -> str:
    return instant.strftime("%Y-%m-%d %H:%M:%S Z")


def outcome_line(outcome: Outcome) -> str:
    """A line per file of a product."""
    if outcome.failure:
        return f"  FAILED  {outcome.name}: {outcome.failure.splitlines()[0]}"
    return "\n".join(f"  made    {name}  ({len(data) / 1000:.0f} kB)" for name, data in outcome.files)


def build_errors(built: Built) -> Iterator[str]:
    """What must be told even when nobody looks: errors and cautions of every stage, and products that
    failed."""
    found = [
        *built.checked.diagnostics,
        *(d for outcome in built.outcomes for d in outcome.diagnostics),
        *built.diagnostics,
    ]
    yield from (diagnostic_text(d, built.checked.texts) for d in found if d.severity != "note")
    for outcome in built.outcomes:
        if outcome.failure:
            yield f"briefgen: {outcome.name} was not made: {outcome.failure}"
    if not built.written:
        yield f"briefgen: nothing was written to {built.folder}"


def build_summary(built: Built) -> Iterator[str]:
    """What a person hears of a build: each product, where they lie, and what they read."""
    yield from map(outcome_line, built.outcomes if built.written else ())
    if built.written:
        yield (
            f"{built.folder}: {sum(len(outcome.files) for outcome in built.outcomes)} files; cards read"
            f" {built.checked.fingerprint.spoken}; {built.approval.stamp}"
        )
    yield verdict_line(built.checked)


def check_object(checked: Checked) -> dict[str, Any]:
    """``briefgen check --json``."""
    return {
        "file": str(checked.path),
        "exit_code": checked.exit_code,
        "fingerprint": checked.fingerprint.full if checked.fingerprint else None,
        "approval": approval_of(checked)[0].stamp if checked.fingerprint else None,
        "tz_database": _tz_version(),
        "diagnostics": [diagnostic_object(diagnostic) for diagnostic in checked.diagnostics],
        "gates": [_gate_object(gate, checked) for gate in checked.plan.gates] if checked.plan else [],
        "times": (
            [
                {"key": list(t.path), "typed": t.text, "zulu": to_plain(t.instant)}
                for t in checked.mission.typed_times
            ]
            if checked.mission
            else []
        ),
    }


def build_object(built: Built) -> dict[str, Any]:
    """``briefgen build --json``."""
    products = [
        {
            "name": o.name,
            "files": [name for name, _ in o.files],
            "failure": o.failure,
            "diagnostics": [diagnostic_object(d) for d in o.diagnostics],
        }
        for o in built.outcomes
    ]
    own = {
        "exit_code": built.exit_code,
        "folder": str(built.folder),
        "written": built.written,
        "products": products,
        "approval": built.approval.stamp if built.approval else None,
    }
    return {
        **check_object(built.checked),
        **own,
        "output_diagnostics": [diagnostic_object(d) for d in built.diagnostics],
    }


def diagnostic_object(diagnostic: Diagnostic) -> dict[str, Any]:
    """A diagnostic with its place, all keys always there."""
    related = [{"message": r.message, "place": _place(r.span)} for r in diagnostic.related]
    words = {"message": diagnostic.message, "why": diagnostic.why, "help": diagnostic.help}
    return {
        "code": diagnostic.code,
        "severity": diagnostic.severity,
        **words,
        "place": _place(diagnostic.span),
        "related": related,
    }


def _place(span: Span | None) -> dict[str, Any] | None:
    if span is None:
        return None
    return {
        "file": span.file,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
    }


def _gate_object(gate: Any, checked: Checked) -> dict[str, Any]:
    return {**to_plain(gate), "place": _place(checked.mission.source.spans.value(gate.cause))}


def _tz_version() -> str:
    from briefgen.airmath.clocks import tz_version

    return tz_version()
