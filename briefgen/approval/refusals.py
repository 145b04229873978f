"""May this plan be approved by this person, at this moment, down to this landing fuel? Whatever refuses it is
told at once; the reasons that they must give are in ``reasons.py``."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.approval.bounds import lapse_of, least_landing
from briefgen.approval.holds import told_by_clock, until
from briefgen.approval.printed import printed_names
from briefgen.approval.record import Approver, supervisor_of
from briefgen.brief.wording.format import dated_z, fuel_figure
from briefgen.brief.wording.gates import figures_words
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.plan.sortie import Plan
from briefgen.units.grammar import Refusal
from briefgen.units.parse_fuel import parse_fuel
from briefgen.units.people import HOW, crew_member, nearly_crew, nearly_same, of_an_aircraft, same_person


def refusals(plan: Plan, approver: Approver) -> list[Diagnostic]:
    """Why the plan can't be approved by this person at this moment, whatever reasons they give."""
    return [
        *_failing(plan),
        *printed_names(approver),
        *_aircraft(plan, approver),
        *_allowed(plan, approver),
        *_in_time(plan, approver.at),
    ]


def _aircraft(plan: Plan, approver: Approver) -> Iterator[Diagnostic]:
    for what, option, text in (("name", "by", approver.name), ("place", "acting-for", approver.acting_for)):
        if of_an_aircraft(text, plan.mission.file.sortie.callsign):
            yield Diagnostic(
                "approval-who",
                "error",
                f"the approver's {what}, {text}, is that of an aircraft",
                why="the record says who decides: a person, whose name is compared with the crew's",
                help=f"write a person's name, with an initial if it is the callsign, with --{option}",
            )


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
    clock = told_by_clock(at)
    if issued is not None and at < issued:
        message = f"{clock}, but the forecast was issued after that: {dated_z(issued)}"
        yield Diagnostic(
            "approval-clock",
            "error",
            message,
            why="the record would carry a wrong time",
            help="set the machine's clock; or correct weather.issued",
            cause=("weather", "issued"),
        )
    if at >= plan.clock.takeoff:
        message = f"{clock}; the take-off of this plan was {dated_z(plan.clock.takeoff)}"
        help = "plan the sortie anew for a later take-off; if this machine's clock is wrong, set it"
        yield Diagnostic(
            "approval-flown", "error", message, why="what has taken off can't be approved any more", help=help
        )
    elif at > lapses:
        message = f"{clock}; an approval of this plan ended at {until(lapses)} ({because})"
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
