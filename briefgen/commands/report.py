"""What ``check`` and ``build`` tell, as lines for people and as objects for machines."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING, Any

from briefgen.approval.holds import told
from briefgen.build.build import Built, Checked, Outcome, Planned, approval_of
from briefgen.commands.clock import now
from briefgen.commands.reductions import reduced_once
from briefgen.console import counts_text, diagnostic_text, one_line, say, table_text, wrapped
from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.core.folders import short
from briefgen.core.plain import to_plain

if TYPE_CHECKING:
    from briefgen.mission.read.tree import Source
    from briefgen.mission.resolve.times import TypedTime
    from briefgen.mission.schema.sortie import Book
    from briefgen.plan.model import Gate
    from briefgen.plan.sortie import Plan

MOST_SHOWN = 5  # lines that are written out
IN_DOUBT_FIRST = ("qnh-agrees",)  # gates about a figure on which others rest


def print_json(document: Any) -> None:
    """Print one JSON object, in ASCII, so that every console and pipe takes it."""
    say(json.dumps(document, ensure_ascii=True, allow_nan=False, indent=1))


def check_lines(checked: Checked) -> Iterator[str]:
    """Diagnostics, then gates, then clock times, then one line that says it all."""
    for diagnostic in checked.diagnostics:
        yield diagnostic_text(diagnostic, checked.texts)
    planned = checked.planned
    if planned is not None:
        yield from _section("Gates", gate_rows(planned.plan))
        yield from waiver_lines(planned.plan)
    yield from _section("Clock times as typed, and in Zulu", time_rows(_known_times(checked)))
    if planned is not None:
        yield ""
        if (unit := planned.mission.file.unit) is not None:
            below = f", which stands on {_book(unit.unit)}" if unit.unit is not None else ""
            mark = planned.mission.source.book_mark
            yield wrapped(f"On the unit's book {_book(unit)}, fingerprint {mark}{below}.")
        yield wrapped(
            f"Time zone database {_tz_version()}. Cards of this plan read {planned.fingerprint.spoken}."
        )
        yield from _approval_lines(planned)
    yield wrapped(verdict_line(checked))


def _book(book: Book) -> str:
    return f"{book.book} of {book.date.isoformat()}, kept by {book.owner}"


def _approval_lines(planned: Planned) -> Iterator[str]:
    """What the record beside the mission says of this plan now, in one line; and what is wrong with the
    record."""
    state, found = approval_of(planned)
    words, over = told(state, now())
    yield from (diagnostic_text(diagnostic, {}) for diagnostic in (*found, *over))
    yield wrapped(f"{words}: {state.words}")


def _section(title: str, rows: list[list[str]]) -> Iterator[str]:
    if rows:
        yield ""
        yield title
        yield table_text(rows)


def verdict_line(checked: Checked) -> str:
    """The last line of a check: what counts, in one sentence."""
    problems = counts_text(checked.diagnostics)
    if checked.book:
        return f"{one_line(str(checked.path))}: a unit's book: {problems or 'nothing is wrong in it'}"
    if checked.planned is None:
        return f"{one_line(str(checked.path))}: not planned: {problems or 'no plan came out'}"
    from briefgen.brief.wording.open_limits import counts_words, tally

    gates = ", ".join(counts_words(tally(checked.planned.plan.gates)))
    return f"{one_line(str(checked.path))}: gates: {gates or 'none'}" + (f"; {problems}" if problems else "")


def gate_rows(plan: Plan) -> list[list[str]]:
    """Verdict, title with the id of what is open, value against limit, reason with source, place in the file;
    the worst first, then as in the list of gates, before them a figure in doubt on which they rest; those
    that lack the same one thing in one row."""
    from briefgen.brief.wording.open_limits import by_reason, told_gates
    from briefgen.plan.model import WORST_FIRST

    def order(gate: Gate) -> int:
        in_doubt = gate.id in IN_DOUBT_FIRST and gate.verdict == "CAUTION"
        return -1 if in_doubt else WORST_FIRST.index(gate.verdict)

    gates = sorted(told_gates(plan.gates), key=order)
    return [
        _gate_row(group[0], plan) if len(group) == 1 else _row_of_many(group, plan)
        for group in by_reason(gates)
    ]


def _gate_row(gate: Gate, plan: Plan) -> list[str]:
    from briefgen.brief.wording.gates import figures_words, named

    figures = figures_words(gate, day=plan.clock.takeoff.date())
    return [gate.verdict, named(gate), figures, _reason(gate, plan)]


def _row_of_many(group: list[Gate], plan: Plan) -> list[str]:
    """The gates that the same key settles, with their one reason."""
    from briefgen.brief.wording.open_limits import each_words, many_words, settled_words

    each = each_words(group, plan.clock.takeoff.date())
    reason = f"{group[0].why}; {settled_words(group[0])}: {each}"
    return [group[0].verdict, many_words(group), "not known", reason]


def _known_times(checked: Checked) -> list[TypedTime]:
    """Every typed time whose instant is known, as it was planned: without a plan those alone that need
    none."""
    if checked.planned is not None:
        return list(checked.planned.plan.mission.every_typed_time)
    return [time for time in checked.mission.every_typed_time if time.settled] if checked.mission else []


def time_rows(typed: Iterable[TypedTime]) -> list[list[str]]:
    """Each clock time that was not typed in Zulu: where, as typed, the instants in Zulu (two for a range)."""
    from briefgen.mission.read.tree import dotted

    times = [time for time in typed if not time.zulu]
    grouped = groupby(times, key=lambda time: (dotted(time.path), time.text))
    return [
        [where, typed, " to ".join(_zulu(time.instant) for time in group)]
        for (where, typed), group in grouped
    ]


def waiver_lines(plan: Plan) -> Iterator[str]:
    """The lines that waive what FAILs, once reference and authority are filled in; nothing without such a
    FAIL, nor for one that a waiver of the file names already."""
    from briefgen.plan.waivers import named_by

    mission = plan.mission
    waivers = mission.file.waivers
    named = {gate.id for waiver in waivers if (gate := named_by(waiver, plan.gates)) is not None}
    open_ = [gate for gate in plan.gates if gate.verdict == "FAIL" and gate.waivable and gate.id not in named]
    if not open_:
        return
    first = mission.source.spans.values[("waivers", 0)] if waivers else None
    where = (
        f"below the others, {_line(first, mission.source)}" if first is not None else "at the end of the file"
    )
    yield ""
    yield wrapped(
        f"A FAIL that an authority has waived: its line, {where}, with what the authority gave behind"
        " reference and authority"
    )
    if first is None:
        yield "waivers:"
    indent = " " * (first.column - 3 if first is not None else 2)
    yield from (
        f"{indent}- {{rule: {gate.id}, reference: , authority: , valid: {_days(plan, gate)}}}"
        for gate in open_[:MOST_SHOWN]
    )
    if open_[MOST_SHOWN:]:
        yield wrapped(f"  In the same way: {_in_the_same_way(plan, open_)}")


def _days(plan: Plan, gate: Gate) -> str:
    """For every day that the gate judges: ``2027-07-28 to 2027-07-29``."""
    from briefgen.plan.waivers import days_judged

    days = days_judged(plan, gate)
    return f"{days[0].isoformat()} to {days[-1].isoformat()}"


def _in_the_same_way(plan: Plan, gates: list[Gate]) -> str:
    """Those that no line is printed for, each with its days where not all have the same."""
    from briefgen.brief.wording.format import listed

    days = {gate.id: _days(plan, gate) for gate in gates}
    one = len(set(days.values())) == 1
    return listed([gate.id if one else f"{gate.id} (valid: {days[gate.id]})" for gate in gates[MOST_SHOWN:]])


def _reason(gate: Gate, plan: Plan) -> str:
    from briefgen.brief.wording.gates import never_waived
    from briefgen.brief.wording.open_limits import settled_words
    from briefgen.mission.read.tree import dotted

    place = settled_words(gate) or _place_words(gate, plan)
    keys = ", ".join(": ".join(filter(None, (dotted(mend.key), mend.written))) for mend in gate.mends)
    parts = (gate.why, keys, gate.waiver, never_waived(gate), gate.source, place)
    return "; ".join(part for part in parts if part)


def _line(span: Span, source: Source) -> str:
    """``line 50``, with its file where that is not the mission's."""
    return f"line {span.line}" + ("" if span.file == source.name else f" of {source.from_here(span.file)}")


def _place_words(gate: Gate, plan: Plan) -> str:
    from briefgen.mission.read.tree import dotted

    def line(key: KeyPath) -> str:
        span = plan.mission.source.spans.value(key)
        return _line(span, plan.mission.source) if span else ""

    if gate.keys:
        return ", ".join(f"{dotted(key)} {line(key)}".strip() for key in gate.keys)
    # what is missing has no line: the key that would say it
    return line(gate.cause) or dotted(gate.cause)


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
        *reduced_once(built.outcomes),
        *built.diagnostics,
        *(told(built.approval, now())[1] if built.approval else ()),
    ]
    yield from (diagnostic_text(d, built.checked.texts) for d in found if d.severity != "note")
    for outcome in built.outcomes:
        if outcome.failure:
            yield f"briefgen: {outcome.name} was not made: {outcome.failure}"
    if not built.written:
        yield f"briefgen: nothing was written to {short(built.folder)}"


def build_summary(built: Built) -> Iterator[str]:
    """What a person hears of a build: each product, where they lie, and what they read."""
    yield from map(outcome_line, built.outcomes if built.written else ())
    planned, approval = built.checked.planned, built.approval
    if built.written and planned is not None and approval is not None:
        yield (
            f"{built.folder}: {sum(len(outcome.files) for outcome in built.outcomes)} files; cards read"
            f" {planned.fingerprint.spoken}; {told(approval, now())[0]}"
        )
    yield verdict_line(built.checked)


def check_object(checked: Checked) -> dict[str, Any]:
    """``briefgen check --json``."""
    planned = checked.planned
    approval, over = told(approval_of(planned)[0], now()) if planned else (None, ())
    return {
        "file": str(checked.path),
        "exit_code": checked.exit_code,
        "fingerprint": planned.fingerprint.full if planned else None,
        "approval": approval,
        "tz_database": _tz_version(),
        "diagnostics": [diagnostic_object(diagnostic) for diagnostic in (*checked.diagnostics, *over)],
        "gates": [_gate_object(gate, planned.plan) for gate in planned.plan.gates] if planned else [],
        "times": [
            {"key": list(t.path), "typed": t.text, "zulu": to_plain(t.instant)} for t in _known_times(checked)
        ],
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
        "approval": told(built.approval, now())[0] if built.approval else None,
    }
    return {
        **check_object(built.checked),
        **own,
        "output_diagnostics": [diagnostic_object(d) for d in built.diagnostics],
    }


def problem_object(exit_code: int, problem: Diagnostic) -> dict[str, Any]:
    """A command that could not begin, and why."""
    return {"exit_code": exit_code, "diagnostics": [diagnostic_object(problem)]}


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


def _gate_object(gate: Gate, plan: Plan) -> dict[str, Any]:
    return {**to_plain(gate), "place": _place(plan.mission.source.spans.value(gate.cause))}


def _tz_version() -> str:
    from briefgen.airmath.clocks import tz_version

    return tz_version()
