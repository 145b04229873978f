"""The second page of the approval sheet: crews, clock, risks, what passes, signatures."""

from __future__ import annotations

from briefgen.brief.cards.approval_figures import nearest, nearest_words
from briefgen.brief.cards.common import crew_words, first_clauses, grid, risk_left
from briefgen.brief.cards.model import Grid, Lines, Reduction, Side
from briefgen.brief.wording import format as words
from briefgen.brief.wording.open_limits import tally, titles_by_key
from briefgen.brief.wording.words import Words
from briefgen.mission.schema.limits import RiskRating
from briefgen.plan.model import Gate, Topic
from briefgen.units import blank

_FEW = 3  # of a list, on a page that is too full
_LINE = 84  # letters that have room beside a topic
# what can hurt somebody before what only spoils the day (own choice, no source)
_TOPICS: dict[Topic, str] = {
    "heights": "Heights, speeds",
    "fuel": "Fuel",
    "formation": "Formation",
    "crew": "Crew",
    "weather": "Weather, day",
    "time": "Time",
    "ground": "Ground, others",
    "area": "Area",
    "briefed": "Briefed",
    "other": "Other",
}
_KEY_EVENTS = (
    "report",
    "brief",
    "takeoff",
    "area-entry",
    "training-end",
    "hold-arrival",
    "true-time",
    "landing",
    "last-landing",
    "shut-down",
    "debrief-end",
)


def details(w: Words) -> Side:
    """The sections of the second page by the names that the template uses."""
    return {
        "crew": _crew(w),
        "clock": _clock(w),
        "risk": _risk(w),
        "passed": passed(w),
        "lacking": _lacking(w),
        "signature": _signature(w),
    }


def details_reductions(w: Words) -> tuple[Reduction, ...]:
    """What the second page gives up when it is too full; where something FAILs, which nobody signs for, at
    last the crews and the risks."""
    fails = tally(w.plan.gates)["FAIL"]
    gone = (Reduction("crew", "the crews left out"), Reduction("risk", "the risks left out"))
    return (
        Reduction("clock", "the clock left out"),
        Reduction("passed", "the gates that pass are only counted", _counted(w)),
        Reduction("risk", "the controls of the risks are cut to their first words", _risk(w, short=True)),
        Reduction("lacking", "figures without a limit are named on the review page"),
        Reduction(
            "risk",
            f"only the {_FEW} highest risks, their controls cut to their first words",
            _risk(w, short=True, most=_FEW),
        ),
        Reduction("crew", "of each crew only the first", _crew(w, first=True)),
        *(gone if fails else ()),
    )


def details_least(w: Words) -> Side:
    """The sections when all of that is given up."""
    ways = {reduction.name: reduction.instead for reduction in details_reductions(w)}
    return {**details(w), **ways}


# ---------------------------------------------------------------- what passes, what has no limit


def _passing(w: Words) -> dict[str, list[Gate]]:
    """The gates that pass by the names of their topics."""
    passing = [gate for gate in w.plan.gates if gate.verdict == "PASS"]
    found = {name: [gate for gate in passing if gate.topic == topic] for topic, name in _TOPICS.items()}
    return {name: gates for name, gates in found.items() if gates}


def passed(w: Words) -> Grid | None:
    """A line a topic: how many pass, and the one that is nearest to its limit."""
    columns = [("", "auto", "l"), ("", "auto", "r"), ("Nearest to its limit", "1fr", "l")]
    found = _passing(w)
    rows = [
        (name, str(len(gates)), first_clauses(nearest_words(w, nearest(gates)[0]), _LINE))
        for name, gates in found.items()
    ]
    return grid(f"{sum(map(len, found.values()))} gates that PASS: the review page has all", columns, rows)


def _counted(w: Words) -> Lines | None:
    """How many pass in each topic, for a page that is too full."""
    found = _passing(w)
    named = ", ".join(f"{name} {len(gates)}" for name, gates in found.items())
    title = f"{sum(map(len, found.values()))} gates that PASS: the review page has all"
    return Lines(title, (("", f"{named}."),)) if found else None


def _lacking(w: Words) -> Lines | None:
    """The figures that only lack a limit, each with the key that takes it."""
    named = titles_by_key(gate for gate in w.plan.gates if gate.lacks == "limit")
    return Lines("Figures without a limit: one reason for all", (("", f"{named}."),)) if named else None


# ---------------------------------------------------------------- crews, clock, risks


def _crew(w: Words, *, first: bool = False) -> Grid | None:
    file = w.mission.file
    several = slice(0, 0 if w.mission.alone else 1)
    rows = [
        (
            str(ship.ship),
            (
                f"{ship.crew[0]} and {len(ship.crew) - 1} more"
                if first and len(ship.crew) > 1
                else crew_words(ship)
            ),
            file.aircraft[ship.aircraft].name,
            ship.tail or "",
            *[_lead_words(ship.may_lead)][several],
            "" if ship.flypasts_led is None else str(ship.flypasts_led),
        )
        for ship in file.flight
    ]
    lead = [("Can lead", "auto", "l")][several]
    columns = [
        ("No", "auto", "l"),
        ("Crew", "1.4fr", "l"),
        ("Aircraft", "1fr", "l"),
        ("Tail", "auto", "l"),
        *lead,
        ("Flypasts led", "auto", "r"),
    ]
    return grid("Crew", columns, rows)


def _lead_words(value: bool | None) -> str:
    return "" if value is None else words.yes_no(value)


def _clock(w: Words) -> Grid | None:
    kept = [event for event in w.plan.clock.events if event.kind in _KEY_EVENTS]
    rows = [(event.label, w.bare(event.at), w.at_base(event.at)) for event in kept]
    base = words.zone_letters(w.plan.clock.takeoff, w.mission.base_zone)
    return grid("Clock", [("", "1fr", "l"), ("Z", "auto", "r"), (f"base, {base}", "auto", "r")], rows)


def _risk(w: Words, *, short: bool = False, most: int | None = None) -> Grid | None:
    """``short``: of each control the first words; ``most``: so many of the highest, the others counted."""
    given = w.mission.file.risk
    if not given:
        return None
    risks = given if most is None else sorted(given, key=risk_left, reverse=True)[:most]
    highest = max(risk_left(risk) for risk in risks)
    more = f" {len(given) - len(risks)} more, no higher: the review page." if len(given) > len(risks) else ""
    said = first_clauses if short else str
    rows = [
        (
            risk.hazard,
            _rating(risk.before),
            said(risk.control or ""),
            _rating(risk.after) if risk.after else "as before",
            blank.named(risk.accepted_by) or "NOBODY",
        )
        for risk in risks
    ]
    strong = tuple(i for i, risk in enumerate(risks) if risk_left(risk) == highest)
    names = words.listed(dict.fromkeys(blank.named(risks[i].accepted_by) or "NOBODY" for i in strong))
    columns = [
        ("Hazard", "1fr", "l"),
        ("Before", "auto", "l"),
        ("Control", "1.3fr", "l"),
        ("After", "auto", "l"),
        ("Accepted by", "auto", "l"),
    ]
    note = (
        f"Likelihood x severity, each 1 to 5. Highest single item after control: {highest} (in bold),"
        f" accepted by {names}.{more}"
    )
    return grid("Risk", columns, rows, strong=strong, note=note)


def _rating(rating: RiskRating) -> str:
    return f"{rating.likelihood} x {rating.severity} = {rating.likelihood * rating.severity}"


# ---------------------------------------------------------------- who signs


def _signature(w: Words) -> Grid:
    """Who has seen the plan and who approves it; while a gate FAILs there is nothing to approve."""
    fails = tally(w.plan.gates)["FAIL"]
    leader = ("Crew" if w.mission.alone else "Leader", crew_words(w.mission.file.flight[0]), "", "")
    rows = (_supervisor_row(w, "Seen by"),) if fails else (*_decided(w), leader, _approver_row(w))
    heads = ("Decision", "Name, role", "Date, time Z", "Signature")
    note = (
        f"No approval while a gate FAILs: first mend what reads FAIL on these pages ({fails}), or have it"
        " waived by the authority that set the limit, and plan again."
        if fails
        else ""
    )
    return Grid("Signature", heads, rows, ("1.3fr", "1.3fr", "1fr", "1fr"), "llll", tall=True, note=note)


def _decided(w: Words) -> tuple[tuple[str, str, str, str], ...]:
    reasons = "recorded, beside each gate" if w.reasons else ""
    return (
        ("Approved / not approved", "", "", ""),
        ("Reasons for each CAUTION and NOT CHECKED", reasons, "", ""),
    )


def _approver_row(w: Words) -> tuple[str, str, str, str]:
    own = w.mission.file.sortie.own_authority
    return _supervisor_row(
        w, f"Approved by ({'not in the flight' if own is None else f'may fly: {own.authority}'})"
    )


def _supervisor_row(w: Words, what: str) -> tuple[str, str, str, str]:
    supervisor = w.mission.file.sortie.supervisor
    return (what, supervisor.name if supervisor else "", "", "")
