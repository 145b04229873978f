"""May this plan be approved by this person, and what must they still say? Refusals are told all at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path

from briefgen.approval.bounds import lapse_of, least_landing, worse
from briefgen.approval.record import Approver, Record, needing_reason, supervisor_of
from briefgen.brief.wording.consequences import grouped
from briefgen.brief.wording.format import clock_z, counted, day, fuel_figure, listed, time_limit
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.open_limits import NO_LIMITS, spread, told_gates, with_limits
from briefgen.compare.figures import gates_of
from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.draw.scene.palette import FONT_FAMILY
from briefgen.draw.typeset.measure import missing_glyphs
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Plan
from briefgen.units.blank import names_nothing
from briefgen.units.grammar import Refusal
from briefgen.units.nearest import nearest_words
from briefgen.units.parse_fuel import parse_fuel
from briefgen.units.people import HOW, crew_member, names_nobody, nearly_crew, nearly_same, same_person

FEWEST_LETTERS = 2  # of a name or a role
FEWEST_WORDS, LONGEST_REASON = 3, 240
# What keeps the place of a reason without being one; compared without regard to case and signs.
EMPTY_ANSWERS = frozenset(
    (
        "to be advised",
        "to be confirmed",
        "to be decided",
        "to be determined",
        "to be discussed",
        "to be done",
        "to be filled in",
        "see the above",
        "see reason above",
        "same as above",
        "same as before",
        "as stated above",
        "as said above",
        "as written above",
        "no reason given",
        "no reason needed",
        "no comment needed",
        "none at all",
        "not yet known",
        "i do not know",
        "do not know",
        "not known yet",
        "fill in later",
        "will fill in",
        "why it is accepted",
        "why this is accepted",
    )
)
EMPTY_WORDS = frozenset(
    [
        "a",
        "all",
        "and",
        "as",
        "is",
        "ok",
        "okay",
        "yes",
        "no",
        "none",
        "nil",
        "na",
        "nothing",
        "tbd",
        "tba",
        "tbc",
        "todo",
        "asdf",
        "qwerty",
        "test",
        "xxx",
        "above",
        "before",
        "see",
        "same",
        "accepted",
        "accept",
        "fine",
        "good",
    ]
)


def refusals(plan: Plan, approver: Approver) -> list[Diagnostic]:
    """Why the plan can't be approved by this person at this moment, whatever reasons they give."""
    return [
        *_failing(plan),
        *printed_names(approver),
        *_allowed(plan, approver),
        *_in_time(plan, approver.at),
    ]


def _failing(plan: Plan) -> Iterator[Diagnostic]:
    for gate in plan.gates:
        if gate.verdict == "FAIL":
            message = f"{gate.title} FAILs: {figures_words(gate, day=plan.clock.takeoff.date())}"
            help = gate.why or "change the plan" + (", or have it waived" if gate.waivable else "")
            yield Diagnostic(
                "approval-gate-fails",
                "error",
                message,
                why="a plan is not approved while a gate fails unwaived",
                help=help,
                cause=gate.cause,
            )


def printed_names(approver: Approver, *, whose: str = "the approver's") -> Iterator[Diagnostic]:
    """What is wrong with somebody's name, role, and the name of whom they act for, as texts."""
    given = [
        ("name", "by", approver.name),
        ("role", "role", approver.role),
        *([("place", "acting-for", approver.acting_for)] if approver.acting_for else []),
    ]
    for what, option, text in given:
        if sum(sign.isalpha() for sign in text) < FEWEST_LETTERS or not text.isprintable() or len(text) > 80:
            message = f"{whose} {what} must be 1 to 80 printable characters, {FEWEST_LETTERS} of them letters"
            yield Diagnostic("approval-who", "error", message, help=f"give it with --{option}")
        elif names_nothing(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what}, {text}, only keeps the place of one",
                why="the record says who decides, and in what role",
                help=f"give it with --{option}",
            )
        elif option != "role" and names_nobody(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what}, {text}, is a rank without a name",
                why="the record says who decides, and in what role",
                help=f"write the name behind it, with an initial if it reads like a rank, with --{option}",
            )
        elif signs := unprintable(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what} has {signs}, which the approval sheet can't print",
                help="write it in Latin letters",
            )


def _allowed(plan: Plan, approver: Approver) -> Iterator[Diagnostic]:
    """Nobody approves a flight that they fly themselves, but its supervisor where the mission says by whose
    authority; else the named supervisor, or somebody for them."""
    flies, supervisor = crew_member(approver.name, plan.mission.crew), supervisor_of(plan)
    own, authority = same_person(approver.name, supervisor), plan.mission.file.sortie.own_authority
    if flies is not None and not (own and authority is not None):
        yield _own_flight(plan, approver, flies)
        return
    if flies is None:
        yield from _misspelt(plan, approver)
    if supervisor:
        yield from _for_the_supervisor(approver, supervisor)


def _own_flight(plan: Plan, approver: Approver, flies: tuple[int, str]) -> Diagnostic:
    """Why somebody of the crew can't approve, and who can; by ``self_authorised`` the supervisor alone."""
    (ship, member), supervisor = flies, supervisor_of(plan)
    own = same_person(approver.name, supervisor)
    named = "" if own else f" with {member} as its `supervisor`, and"
    help = (
        "another person approves (write the name in full if it is another); where the unit lets a supervisor"
        f" authorise their own flight, say so under `sortie:`{named} with `self_authorised: {{authority:"
        " ..., reason: ...}`"
    )
    who = f"it is {supervisor}" if supervisor else "this mission names no supervisor"
    why = "who flies doesn't approve" + (
        f", `self_authorised` lets the named supervisor alone: {who}"
        if plan.mission.file.sortie.own_authority is not None
        else ""
    )
    return Diagnostic(
        "approval-own-flight",
        "error",
        f"{approver.name} can't approve this flight: {member} flies ship {ship}",
        why=f"{why}; names are {HOW}",
        help=help,
        cause=_crew_path(plan, ship),
    )


def _misspelt(plan: Plan, approver: Approver) -> Iterator[Diagnostic]:
    """A name that is nearly one of the crew's is asked about, unless the mission names that very person as
    the supervisor."""
    near = nearly_crew(approver.name, plan.mission.crew)
    if (
        near is None
        or same_person(approver.name, supervisor_of(plan))
        or same_person(approver.not_crew, near[1])
    ):
        return
    ship, member = near
    message = f"{approver.name} reads nearly like {member}, who flies ship {ship}"
    help = (
        f'write the name right; if it is another person, say so with --not-crew "{member}", which is recorded'
    )
    yield Diagnostic(
        "approval-near-crew",
        "error",
        message,
        why="who flies doesn't approve, under a misspelt name neither",
        help=help,
        cause=_crew_path(plan, ship),
    )


def _for_the_supervisor(approver: Approver, supervisor: str) -> Iterator[Diagnostic]:
    cause = ("sortie", "supervisor", "name")
    own, acting = same_person(approver.name, supervisor), approver.acting_for
    if own and acting:
        yield Diagnostic(
            "approval-supervisor",
            "error",
            f"{approver.name} is the supervisor and acts for nobody",
            help="leave out --acting-for",
            cause=cause,
        )
    elif not own and not (acting and same_person(acting, supervisor)):
        message = (
            f"{acting or approver.name} is not the supervisor of this flight: the mission names {supervisor}"
        )
        help = f'add --acting-for "{supervisor}"; or correct the name in the mission file'
        if nearly_same(acting or approver.name, supervisor):
            option = "--acting-for" if acting else "--by"
            help = "correct the name in the mission file" if acting else help
            help = f'did you mean {option} "{supervisor}"? for another person {help}'
        yield Diagnostic(
            "approval-supervisor",
            "error",
            message,
            why=f"the record says in whose place somebody else approves; names are {HOW}",
            help=help,
            cause=cause,
        )


def _in_time(plan: Plan, at: datetime) -> Iterator[Diagnostic]:
    issued, (lapses, because) = plan.mission.times.weather_issued, lapse_of(plan)
    clock = f"this machine's clock says {day(at.date())} {clock_z(at)}"
    if issued is not None and at < issued:
        message = f"{clock}, but the forecast was issued after that: {day(issued.date())} {clock_z(issued)}"
        yield Diagnostic(
            "approval-clock",
            "error",
            message,
            why="the record would carry a wrong time",
            help="set the machine's clock; or correct weather.issued",
            cause=("weather", "issued"),
        )
    if at >= plan.clock.takeoff:
        message = (
            f"{clock}; the take-off of this plan was {day(plan.clock.takeoff.date())}"
            f" {clock_z(plan.clock.takeoff)}"
        )
        help = "plan the sortie anew for a later take-off; if this machine's clock is wrong, set it"
        yield Diagnostic(
            "approval-flown", "error", message, why="what has taken off can't be approved any more", help=help
        )
    elif at > lapses:
        message = (
            f"{clock}; an approval of this plan ended at {day(lapses.date())}"
            f" {clock_z(time_limit(lapses, 'latest'))} ({because})"
        )
        yield Diagnostic(
            "approval-lapsed",
            "error",
            message,
            help="read a newer forecast into the mission file, or plan the sortie anew for a later take-off",
        )


def _crew_path(plan: Plan, ship: int) -> KeyPath:
    return (
        "flight",
        next(i for i, entry in enumerate(plan.mission.file.flight) if entry.ship == ship),
        "crew",
    )


def landing_bound(plan: Plan, text: str | None) -> tuple[float | None, list[Diagnostic]]:
    """The least predicted landing fuel that is approved, in display units; None: as the plan requires it.
    Never below that, nor above what is predicted."""
    if text is None:
        return None, []
    fuel = plan.fuel
    try:
        typed = parse_fuel(text)
    except Refusal:
        typed = None
    if fuel is None or typed is None or typed.unit != fuel.unit:
        unit = fuel.unit if fuel is not None else "lb"
        return None, [
            _bound(
                f"{text!r} is no landing fuel of this plan", f"write an amount in {unit}, such as 1000 {unit}"
            )
        ]
    floor, most = least_landing(fuel), fuel.lowest_landing
    if floor <= typed.value <= most:
        return int(typed.value) if typed.value == int(typed.value) else typed.value, []
    return None, [
        _bound(
            f"{text} can't be the bound",
            f"choose from {fuel_figure(floor, fuel.unit)} (required) to {fuel_figure(most, fuel.unit)}"
            " (predicted)",
        )
    ]


def _bound(message: str, help: str) -> Diagnostic:
    return Diagnostic("approval-landing-fuel", "error", message, help=help)


# ---------------------------------------------------------------- reasons


def read_reasons(data: bytes, name: str, plan: Plan) -> tuple[dict[str, str], list[Diagnostic], str]:
    """gate id → reason from a reasons file, what is wrong with it, and its text for excerpts."""
    from briefgen.mission.read.source import read_source

    source, problems = read_source(data, name)
    if source is None or not isinstance(source.tree, dict):
        return {}, problems, data.decode("utf-8", errors="replace")
    titles = {NO_LIMITS: "", **{gate.id: gate.title for gate in plan.gates}}
    ids = list(titles)
    needed = {NO_LIMITS, *(gate.id for gate in needing_reason(plan))}
    # an empty one is told as missing
    problems = [problem for problem in problems if problem.code != "no-value"]
    reasons: dict[str, str] = {}
    for key, value in source.tree.items():
        span = source.spans.key((key,))
        if key not in ids:
            near = nearest_words(key, ids)
            help = f"did you mean {listed(near, 'or')}?" if near else "delete the line"
            problems.append(_wrong(f"there is no gate `{key}`", span, help, *near))
        elif isinstance(value, (dict, list)):
            problems.append(
                _wrong(
                    f"the reason for `{key}` must be a sentence",
                    span,
                    f"write it like `{key}: why this is accepted`",
                    key,
                )
            )
        elif value and value.strip() and (wrong := reason_problem(value, title=titles[key])):
            problems.append(_wrong(f"the reason for `{key}` has {wrong[0]}", span, wrong[1], key))
        elif value and value.strip() and key in needed:
            reasons[key] = value.strip()
    return spread(plan.gates, reasons), problems, source.texts[name]


def unprintable(text: str) -> str:
    """The signs of a text that the printed sheet has no picture of, as code points; empty when there is
    none."""
    return ", ".join(f"U+{ord(sign):04X}" for sign in missing_glyphs(text, FONT_FAMILY["card"]))


def reason_problem(text: str, what: str = "accepted", *, title: str = "") -> tuple[str, str] | None:
    """What keeps words from being printed as the reason why a gate of this ``title`` is ``accepted`` (an
    approval withdrawn), and the remedy: "3 letters, ...". None: nothing."""
    letters, said = len(text.strip()), _words(text)
    if len(set(said)) < FEWEST_WORDS:
        kind = "word" if len(said) == len(set(said)) else "different word"
        return (
            f"{counted(len(set(said)), kind)}, the least is {FEWEST_WORDS}",
            f"say why it is {what}, in words of your own",
        )
    if " ".join(said) in EMPTY_ANSWERS or EMPTY_WORDS.issuperset(said):
        return "no reason in it", f"say why it is {what}, in words of your own"
    if EMPTY_WORDS.union(_words(title)).issuperset(said):
        return "no word but the gate's own", f"say why it is {what}, in words of your own"
    if letters > LONGEST_REASON:
        return (
            f"{letters} letters, the most is {LONGEST_REASON}",
            "say it in one sentence: it is printed on every sheet",
        )
    signs = unprintable(text.strip()) or ", ".join(
        f"U+{ord(sign):04X}" for sign in text.strip() if not sign.isprintable()
    )
    return (f"{signs}, which the approval sheet can't print", "write it in Latin letters") if signs else None


def _words(text: str) -> list[str]:
    """Its words in small letters, without signs and figures."""
    bare = ("".join(sign for sign in raw if sign.isalpha()) for raw in text.casefold().split())
    return [word for word in bare if word]


def earlier_reasons(plan: Plan, record: Record | None) -> dict[str, str]:
    """gate id → the reason of the approval before, where the gate reads the same, at the same or a better
    figure; for the gates that only lack a limit together, where each of them has one. None of a withdrawn
    approval."""
    if record is None or record.withdrawn is not None:
        return {}
    before, open_gates = gates_of(record.document["plan"]), needing_reason(plan)
    found = {
        gate.id: record.reasons[gate.id]
        for gate in open_gates
        if gate.id in record.reasons and _as_good(gate, before.get(gate.id))
    }
    lacking = [gate for gate in open_gates if gate.lacks == "limit"]
    return with_limits(lacking, found) if all(gate.id in found for gate in lacking) else found


def _as_good(now: Gate, then: Gate | None) -> bool:
    if then is None or then.verdict != now.verdict or worse(now, then):
        return False
    return now.verdict != "NOT CHECKED" or (now.lacks, now.settled_by, now.concerns) == (
        then.lacks,
        then.settled_by,
        then.concerns,
    )


def _wrong(message: str, span: Span | None, help: str, *gates: str) -> Diagnostic:
    """``gates``: whose reason is told as wrong by it, and isn't missing besides."""
    return Diagnostic("approval-reasons", "error", message, span, help=help, cause=gates)


def missing_reasons(plan: Plan, reasons: Mapping[str, str]) -> list[Gate]:
    """The gates that still need a reason, in the order of the gates; those that only lack a limit as one."""
    return list(told_gates(gate for gate in needing_reason(plan) if gate.id not in reasons))


def reasons_text(plan: Plan, reasons: Mapping[str, str], earlier: Mapping[str, str]) -> str:
    """A reasons file ready to be filled in: every gate that needs one, by consequence, with what it says;
    reasons given are kept, earlier ones offered."""
    today = plan.clock.takeoff.date()
    lines = [
        "# Why each of these is accepted. Write a reason after each colon, then: briefgen approve ..."
        " --reasons THIS FILE"
    ]
    reasons = with_limits(plan.gates, reasons)
    for title, gates in grouped(told_gates(needing_reason(plan))):
        lines += ["", f"# {title}"]
        for gate in gates:
            lines.append(
                f"# {gate.verdict}: {gate.title}, {figures_words(gate, day=today)}"
                + (f"; {gate.why}" if gate.why else "")
            )
            if gate.id in earlier and gate.id not in reasons:
                lines.append(f"# accepted before: {earlier[gate.id]}")
            lines.append(f"{gate.id}: {_quoted(reasons.get(gate.id, ''))}".rstrip())
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A reason as YAML text."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"' if text else ""


def missing_diagnostic(gates: list[Gate], file: Path, *, add: bool = False) -> Diagnostic:
    """One for all that is missing; ``add``: to be added to a file of reasons, in which other things are
    wrong."""
    verdicts = {
        verdict: sum(gate.verdict == verdict for gate in gates) for verdict in ("CAUTION", "NOT CHECKED")
    }
    named = " and ".join(f"{count} {verdict}" for verdict, count in verdicts.items() if count)
    message = f"{counted(len(gates), 'reason')} missing, for {named}"
    why = "each CAUTION and each NOT CHECKED is accepted by name, or not at all"
    return Diagnostic(
        "approval-reasons-missing",
        "error",
        message,
        why=why,
        help=f"add to {file}, each with its reason: {listed([gate.id for gate in gates])}"
        if add
        else f"fill in {file}, then give it with --reasons {file}",
    )
