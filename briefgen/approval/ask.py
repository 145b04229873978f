"""May this plan be approved by this person, and what must they still say? Refusals are told all at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from briefgen.approval.consequences import grouped
from briefgen.approval.people import HOW, crew_member
from briefgen.approval.record import crew_of, needing_reason
from briefgen.brief.format import counted, fuel_figure
from briefgen.brief.gate_words import figures_words
from briefgen.brief.open_limits import NO_LIMITS, spread, told_gates, with_limits
from briefgen.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.schema_base import did_you_mean
from briefgen.plan.fuel_flight import landing_floor
from briefgen.plan.model import Gate, Plan
from briefgen.scene.palette import FONT_FAMILY
from briefgen.typeset.measure import missing_glyphs
from briefgen.units.grammar import Refusal
from briefgen.units.parse_fuel import parse_fuel

SHORTEST_REASON, LONGEST_REASON = 3, 240


def refusals(plan: Plan, *, name: str, role: str) -> list[Diagnostic]:
    """Why the plan can't be approved by this person, whatever reasons they give."""
    return [*_failing(plan), *_who(plan, name, role)]


def _failing(plan: Plan) -> Iterator[Diagnostic]:
    for gate in plan.gates:
        if gate.verdict == "FAIL":
            message = f"{gate.title} FAILs: {figures_words(gate, day=plan.clock.takeoff.date())}"
            help = gate.why or "change the plan" + (", or have it waived" if gate.waivable else "")
            yield Diagnostic("approval-gate-fails", "error", message, why="a plan is not approved while a gate fails unwaived", help=help, cause=gate.cause)


def _who(plan: Plan, name: str, role: str) -> Iterator[Diagnostic]:
    for what, text in (("name", name), ("role", role)):
        if not text.strip() or not text.isprintable() or len(text) > 80:
            yield Diagnostic("approval-who", "error", f"the approver's {what} must be 1 to 80 printable characters", help=f"give it with --{'by' if what == 'name' else 'role'}")
        elif signs := unprintable(text):
            yield Diagnostic("approval-who", "error", f"the approver's {what} has {signs}, which the approval sheet can't print", help="write it in Latin letters")
    found = crew_member(name, crew_of(plan))
    if found is not None:
        ship, member = found
        message = f"{name} can't approve this flight: {member} flies ship {ship}"
        yield Diagnostic("approval-own-flight", "error", message, why=f"who flies doesn't approve; names are {HOW}", help="another person approves; write the name in full if it is another", cause=_crew_path(plan, ship))


def _crew_path(plan: Plan, ship: int) -> KeyPath:
    return ("flight", next(i for i, entry in enumerate(plan.mission.file.flight) if entry.ship == ship), "crew")


def landing_bound(plan: Plan, text: str | None) -> tuple[float | None, list[Diagnostic]]:
    """The least predicted landing fuel that is approved, in display units; None: as the plan requires it. Never below that, nor above what is predicted."""
    if text is None:
        return None, []
    fuel = plan.fuel
    try:
        typed = parse_fuel(text)
    except Refusal:
        typed = None
    if fuel is None or typed is None or typed.unit != fuel.unit:
        unit = fuel.unit if fuel is not None else "lb"
        return None, [_bound(f"{text!r} is no landing fuel of this plan", f"write a weight in {unit}, such as 1000 {unit}")]
    floor, most = max(landing_floor(ship) for ship in fuel.ships), fuel.lowest_landing
    if floor <= typed.value <= most:
        return int(typed.value) if typed.value == int(typed.value) else typed.value, []
    return None, [_bound(f"{text} can't be the bound", f"choose from {fuel_figure(floor, fuel.unit)} (required) to {fuel_figure(most, fuel.unit)} (predicted)")]


def _bound(message: str, help: str) -> Diagnostic:
    return Diagnostic("approval-landing-fuel", "error", message, help=help)


# ---------------------------------------------------------------- reasons


def read_reasons(data: bytes, name: str, plan: Plan) -> tuple[dict[str, str], list[Diagnostic], str]:
    """gate id → reason from a reasons file, what is wrong with it, and its text for excerpts."""
    from briefgen.mission.source import read_source

    source, problems = read_source(data, name)
    if source is None or not isinstance(source.tree, dict):
        return {}, problems, data.decode("utf-8", errors="replace")
    ids = [NO_LIMITS, *(gate.id for gate in plan.gates)]
    needed = {NO_LIMITS, *(gate.id for gate in needing_reason(plan))}
    problems = [problem for problem in problems if problem.code != "no-value"]  # an empty one is told as missing
    reasons: dict[str, str] = {}
    for key, value in source.tree.items():
        span = source.spans.key((key,))
        if key not in ids:
            problems.append(_wrong(f"there is no gate `{key}`", span, did_you_mean(key, ids).removeprefix("; ") or "delete the line"))
        elif isinstance(value, (dict, list)):
            problems.append(_wrong(f"the reason for `{key}` must be a sentence", span, f"write it like `{key}: why this is accepted`"))
        elif value is not None and len(value.strip()) > LONGEST_REASON:
            problems.append(_wrong(f"the reason for `{key}` has {len(value.strip())} letters, the most is {LONGEST_REASON}", span, "say it in one sentence: it is printed beside the gate"))
        elif value is not None and (signs := unprintable(value)):
            problems.append(_wrong(f"the reason for `{key}` has {signs}, which the approval sheet can't print", span, "write it in Latin letters"))
        elif value is not None and key in needed and is_reason(value):
            reasons[key] = value.strip()
    return spread(plan.gates, reasons), problems, source.texts[name]


def unprintable(text: str) -> str:
    """The signs of a text that the printed sheet has no picture of, as code points; empty when there is none."""
    return ", ".join(f"U+{ord(sign):04X}" for sign in missing_glyphs(text, FONT_FAMILY["card"]))


def is_reason(text: str) -> bool:
    """Words that can stand beside a gate as the reason why it is accepted: neither too few nor too many, and all of them to be seen."""
    return SHORTEST_REASON <= len(text.strip()) <= LONGEST_REASON and text.strip().isprintable() and not unprintable(text)


def _wrong(message: str, span: Span | None, help: str) -> Diagnostic:
    return Diagnostic("approval-reasons", "error", message, span, help=help)


def missing_reasons(plan: Plan, reasons: Mapping[str, str]) -> list[Gate]:
    """The gates that still need a reason, in the order of the gates; those that only lack a limit as one."""
    return list(told_gates(gate for gate in needing_reason(plan) if gate.id not in reasons))


def reasons_text(plan: Plan, reasons: Mapping[str, str]) -> str:
    """A reasons file ready to be filled in: every gate that needs one, by consequence, with what it says; reasons given are kept."""
    day = plan.clock.takeoff.date()
    lines = ["# Why each of these is accepted. Write a reason after each colon, then: briefgen approve ... --reasons THIS FILE"]
    reasons = with_limits(plan.gates, reasons)
    for title, gates in grouped(told_gates(needing_reason(plan))):
        lines += ["", f"# {title}"]
        for gate in gates:
            lines.append(f"# {gate.verdict}: {gate.title}, {figures_words(gate, day=day)}" + (f"; {gate.why}" if gate.why else ""))
            lines.append(f"{gate.id}: {_quoted(reasons.get(gate.id, ''))}".rstrip())
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A reason as YAML text."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"' if text else ""


def missing_diagnostic(gates: list[Gate], file: Path) -> Diagnostic:
    """One for all that is missing."""
    verdicts = {verdict: sum(gate.verdict == verdict for gate in gates) for verdict in ("CAUTION", "NOT CHECKED")}
    named = " and ".join(f"{count} {verdict}" for verdict, count in verdicts.items() if count)
    message = f"{counted(len(gates), 'reason')} missing, for {named}"
    why = "each CAUTION and each NOT CHECKED is accepted by name, or not at all"
    return Diagnostic("approval-reasons-missing", "error", message, why=why, help=f"fill in {file}, then give it with --reasons {file}")
