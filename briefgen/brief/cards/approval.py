"""The approval sheet: what a supervisor needs for a decision in two minutes on the first page, the details on
the second."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from briefgen.brief.cards.common import (
    crew_words,
    first_clauses,
    grid,
    last_begin_t,
    under_line,
)
from briefgen.brief.cards.gates import (
    ORDER,
    other_in_short,
    other_open,
    other_titles,
    passed,
    passed_counts,
    passed_titles,
    worst,
    worst_in_short,
)
from briefgen.brief.cards.model import Card, Grid, Large, Lines, Pairs, Reduction, Side
from briefgen.brief.wording import format as words
from briefgen.brief.wording.gates import figures_words, limit_words, value_words
from briefgen.brief.wording.lost_contact import supervisor_reach
from briefgen.brief.wording.open_limits import tally
from briefgen.brief.wording.tiers import base_words
from briefgen.brief.wording.wait_limits import latest_said
from briefgen.brief.wording.words import NOT_CHECKED, Words, card_words
from briefgen.core.context import DecisionLabel
from briefgen.mission.schema.limits import Risk, RiskRating, Waiver
from briefgen.plan.model import Gate, Verdict
from briefgen.plan.sortie import Plan
from briefgen.plan.waivers import by_crew, waiver_words

_MOST_CHANGES = 18
_DEFAULTS = "what is judged by a default is only counted"
_KEYLESS = "the keys that settle what is open are left out"
_FEW = 5  # of a list, on a page that is too full
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


Decision = tuple[tuple[DecisionLabel, str], ...]


def approval(plan: Plan, decision: Decision = (), reasons: Mapping[str, str] | None = None) -> Card:
    """Two pages of A4. ``decision``: what there is to say of an approval, and ``reasons``: gate id → why it
    was accepted, both as in the context's stamp."""
    w = card_words(plan, reasons or {})
    sides = (("for approval", {"decision": _decision(decision), **_first(w)}), ("details", _second(w)))
    return Card(
        w.callsign,
        f"{w.mission.file.sortie.name}  ·  {under_line(w)}",
        sides,
        reductions=(_shorter(w, decision), _reductions(w)),
    )


def _shorter(w: Words, decision: Decision) -> tuple[Reduction, ...]:
    """What the first page gives up: the keys of what is open, the ends of long reasons, then those for what
    was not checked; then what hardly a sortie has so much of. Never the verdict, the figures, who can stop
    it, and what fails. Each way tells all that it gives up, as it takes the place of the one before."""
    keys = Reduction("worst", _KEYLESS, worst(w, keys=False))
    counted = Reduction("unusual", _DEFAULTS, _unusual(w, counted=True))
    return (keys, counted, *_shorter_reasons(w), *_counted(w, decision))


def _shorter_reasons(w: Words) -> tuple[Reduction, ...]:
    if not w.reasons:
        return ()
    brief = replace(w, reasons={id: first_clauses(reason) for id, reason in w.reasons.items()})
    said = f"{_KEYLESS}, and the reasons for accepting each {{}}"
    return (
        Reduction(
            "worst",
            said.format("NOT CHECKED are cut to their first words"),
            worst(w, keys=False, unchecked=brief.reasons),
        ),
        Reduction(
            "worst",
            said.format("CAUTION and NOT CHECKED are cut to their first words"),
            worst(brief, keys=False),
        ),
        Reduction(
            "worst",
            said.format("CAUTION are cut to their first words, those for NOT CHECKED left out"),
            worst(brief, keys=False, unchecked={}),
        ),
    )


def _counted(w: Words, decision: Decision) -> tuple[Reduction, ...]:
    return (
        _less_weather(w, "the weather that is within its minima is left out", "PASS"),
        Reduction(
            "decision", f"only the first {_FEW} changes since the approval", _decision(decision, most=_FEW)
        ),
        Reduction(
            "unusual",
            f"{_DEFAULTS}, and only the first {_FEW} waivers are named",
            _unusual(w, counted=True, most=_FEW),
        ),
        Reduction(
            "worst", "of what is open only the first words, without keys and reasons", worst_in_short(w)
        ),
        Reduction("unusual", f"{_DEFAULTS}, and so are the waivers", _unusual(w, counted=True, most=0)),
        _less_weather(
            w,
            "the weather that is within its minima, waived or NOT CHECKED is left out",
            "PASS",
            "WAIVED",
            "NOT CHECKED",
        ),
    )


def _less_weather(w: Words, said: str, *without: Verdict) -> Reduction:
    """The two columns of the weather give way together."""
    left, right = (_weather(w, half, without=without) for half in (0, 1))
    return Reduction("weather_left", said, left, {"weather_right": right})


def _reductions(w: Words) -> tuple[Reduction, ...]:
    """What the second page gives up when it is too full."""
    return (
        Reduction("passed", "the gates that pass are named without their figures", passed_titles(w)),
        Reduction("open", "the keys that settle what is open are left out", other_open(w, keys=False)),
        Reduction("clock", "the clock left out"),
        Reduction("passed", "the gates that pass are only counted", passed_counts(w)),
        Reduction("risk", "the controls of the risks are cut to their first words", _risk(w, short=True)),
        Reduction("open", "what to do about what is open is left to the review page", other_titles(w)),
        Reduction(
            "risk",
            f"only the {_FEW} highest risks, their controls cut to their first words",
            _risk(w, short=True, most=_FEW),
        ),
        Reduction("crew", "of each crew only the first", _crew(w, first=True)),
        Reduction(
            "open",
            f"only the next {_FEW} of what is open, cut to their first words, without keys and reasons",
            other_in_short(w, _FEW),
        ),
    )


def _first(w: Words) -> Side:
    return {
        "verdict": _verdict(w),
        "unusual": _unusual(w),
        "answers": _answers(w),
        "weather_left": _weather(w, 0),
        "weather_right": _weather(w, 1),
        "stop": _stop(w),
        "worst": worst(w),
    }


def _second(w: Words) -> Side:
    return {
        "open": other_open(w),
        "passed": passed(w),
        "crew": _crew(w),
        "clock": _clock(w),
        "risk": _risk(w),
        "signature": _signature(w),
    }


# ---------------- a decision that was made, verdict, and what is unusual


def _decision(decision: Decision, *, most: int = _MOST_CHANGES) -> Lines | None:
    """By whom and until when; then what is not covered and what changed, each as one paragraph of the first
    ``most``."""
    grouped: dict[str, list[str]] = {}
    for label, text in decision:
        grouped.setdefault(label, []).append(text)
    items = tuple((f"{label}:", _paragraph(texts, most)) for label, texts in grouped.items())
    return Lines("Decision", items) if items else None


def _paragraph(texts: list[str], most: int) -> str:
    more = len(texts) - most
    return "; ".join(texts[:most]) + (f"; and {more} more." if more > 0 else ".")


def _verdict(w: Words) -> Large:
    counts = tally(w.plan.gates)
    needs = "each accepted for a reason" if w.reasons else "each needs a reason"
    say = {
        "FAIL": "not to be flown as it stands" if counts["FAIL"] else "no gate fails",
        "CAUTION": needs if counts["CAUTION"] else "none",
        "NOT CHECKED": needs if counts["NOT CHECKED"] else "every gate was judged",
        "WAIVED": "see below" if counts["WAIVED"] else "no waiver in force",
    }
    return Large("Verdict", tuple((verdict, str(counts[verdict]), say[verdict]) for verdict in ORDER), "huge")


def _unusual(w: Words, *, counted: bool = False, most: int | None = None) -> Lines:
    """``counted``: what a default judges without the names; ``most``: so many waivers, those in force first,
    the others counted."""
    items = [*_first_time(w), *_waivers(w, most), *_guesses(w, counted=counted), *_difference(w)]
    return Lines(
        "Unusual", tuple(items) or (("", "Nothing: no first-time lead, no waiver, no default in force."),)
    )


def _first_time(w: Words) -> Iterator[tuple[str, str]]:
    lead = w.mission.file.flight[0]
    if w.plan.event is None:
        return
    if lead.flypasts_led is None:
        yield (
            ("Crew:" if w.mission.alone else "Leader:"),
            f"{crew_words(lead)}: how many flypasts led is not given.",
        )
    elif lead.flypasts_led == 0:
        yield (
            ("First flypast:" if w.mission.alone else "First-time lead:"),
            f"{crew_words(lead)} {'flies' if w.mission.alone else 'leads'} a flypast for the first time.",
        )


def _waivers(w: Words, most: int | None = None) -> Iterator[tuple[str, str]]:
    """Those in force first, then those that are not used and why; ``most``: so many of them, the others
    counted."""
    gates = {gate.id: gate for gate in w.plan.gates}
    rows = [
        (waiver, gates.get(waiver.rule), _why_unused(w, waiver, gates.get(waiver.rule)))
        for waiver in w.mission.file.waivers
    ]
    rows.sort(key=lambda row: bool(row[2]))
    for waiver, gate, unused in rows[:most]:
        state = f"; NOT USED: {unused}" if unused else ""
        valid = f"{words.day(waiver.valid.start)} to {words.day(waiver.valid.end)}"
        yield (
            f"Waiver {waiver.reference}:",
            f"{gate.title if gate else waiver.rule}, by {waiver.authority}, {valid}{state}.",
        )
    if most is not None and len(rows) > most:
        unused = sum(bool(why) for _, _, why in rows[most:])
        yield (
            "More waivers:" if most else "Waivers:",
            (
                f"{len(rows) - most - unused} in force, beside their gates on the review page; {unused} not"
                " used."
            ),
        )


def _why_unused(w: Words, waiver: Waiver, gate: Gate | None) -> str:
    """Empty for a waiver in force."""
    if gate is None:
        return "there is no such gate in this plan"
    if not gate.waivable:
        return "refused, this is never waived"
    if (own := by_crew(w.mission, waiver)) is not None:
        return f"refused, {own[1]} flies ship {own[0]}"
    if gate.verdict == "WAIVED":
        return "" if gate.waiver == waiver_words(waiver) else "another waiver is in force"
    if gate.verdict == "NOT CHECKED":
        return "the gate reads NOT CHECKED: what isn't known can't be waived"
    return "not valid on the day" if gate.verdict == "FAIL" else f"not needed, the gate reads {gate.verdict}"


def _guesses(w: Words, *, counted: bool = False) -> Iterator[tuple[str, str]]:
    guessed = [gate for gate in w.plan.gates if _is_guess(gate)]
    if guessed:
        yield "Judged by a default, no authority:", f"{words.counted(len(guessed), 'figure')}."
    limits = dict.fromkeys(limit_words(gate, day=w.day) for gate in guessed if not counted)
    for limit in limits:
        same = dict.fromkeys(gate.title for gate in guessed if limit_words(gate, day=w.day) == limit)
        yield f"- {limit}:", f"{'; '.join(same)}."
    if w.mission.file.weather is None or not w.mission.file.weather.winds:
        yield "No winds given:", "calm air and standard temperature are taken."


def _is_guess(gate: Gate) -> bool:
    """A figure judged against a limit that nobody has published or given."""
    return gate.guessed and gate.verdict != "NOT CHECKED" and isinstance(gate.limit, (int, float))


def _difference(w: Words) -> Iterator[tuple[str, str]]:
    clock = w.plan.clock
    if clock.takeoff_solved:
        yield "Take-off:", f"worked back from the time over target, {w.z(clock.takeoff)}."


# ---------------------------------------------------------------- the answers


def _answers(w: Words) -> Pairs:
    return Pairs("In figures", tuple(_answer_rows(w)))


def _answer_rows(w: Words) -> Iterator[tuple[str, str]]:
    fuel = w.plan.fuel
    if fuel is None:
        yield "Lowest landing fuel", f"{NOT_CHECKED}: the fuel cannot be worked out"
    else:
        lowest = w.ship_fuel(fuel.lowest_landing_ship)
        who = crew_words(w.mission.ship(lowest.ship))
        yield (
            "Lowest landing fuel",
            (
                f"{w.fuel(fuel.lowest_landing)}, ship {lowest.ship} ({who}); required"
                f" {base_words(fuel, lowest)}"
            ),
        )
        yield from _joker(w)
    if w.plan.event is not None:
        yield "True time, latest T", _latest(w)
    for id, label in (
        ("pass-height", "Pass height"),
        ("pass-speed", "Pass speed"),
        ("permission-lowest", "Permission, lowest"),
    ):
        yield from ((label, _judged(w, gate)) for gate in w.plan.gates if gate.id == id)
    if w.plan.training is not None and w.plan.event is not None:
        yield "The flypast costs", _cost(w)


def _joker(w: Words) -> Iterator[tuple[str, str]]:
    ships = [s for s in w.plan.fuel.ships if s.joker is not None and s.training_end_predicted is not None]
    if ships:
        least = min(ships, key=lambda s: s.training_end_predicted - s.joker.figure)
        margin = least.training_end_predicted - least.joker.figure
        sense = "above" if margin >= 0 else "BELOW"
        yield (
            "Joker margin",
            f"{w.fuel(abs(margin))} {sense} joker at the end of training, ship {least.ship}",
        )


def _latest(w: Words) -> str:
    return f"T {w.z(w.plan.event.true_time)} {latest_said(w.plan, w.by)}"


def _judged(w: Words, gate: Gate) -> str:
    figures = figures_words(gate, day=w.day)
    return figures if gate.lacks == "limit" else f"{figures}: {gate.verdict}"


def _cost(w: Words) -> str:
    training = w.plan.training
    setups = NOT_CHECKED if training.cost_setups is None else words.counted(training.cost_setups, "set-up")
    fuel = NOT_CHECKED if training.cost_fuel_printed is None else w.fuel(training.cost_fuel_printed)
    of = "" if w.mission.alone else " of the thirstiest ship"
    return (
        f"{setups} and {fuel}{of}; {words.counted(training.setups_flown, 'set-up')} flown, at least"
        f" {training.setups_minimum}"
    )


def _weather(w: Words, half: int, *, without: tuple[Verdict, ...] = ()) -> Grid | None:
    """The weather gates in two columns; ``half`` 0 is the left one. ``without``: verdicts that are left
    out."""
    gates = [gate for gate in w.plan.gates if gate.forecast and gate.verdict not in without]
    middle = (len(gates) + 1) // 2
    shown = (gates[:middle], gates[middle:])[half]
    rows = [(gate.title, _forecast_words(w, gate)) for gate in shown]
    title = (
        f"Forecast of {w.z(w.mission.times.weather_issued)}, with the limits"
        if half
        else "Weather against the minima"
    )
    return grid(
        title,
        [("", "1fr", "l"), ("", "auto", "r")],
        rows,
        strong=tuple(i for i, gate in enumerate(shown) if gate.verdict != "PASS"),
    )


def _forecast_words(w: Words, gate: Gate) -> str:
    """The verdict where it is no PASS, and the figures. What is said in words alone stands with its limit
    among the open gates: the names need the room."""
    if gate.verdict == "PASS" or gate.lacks == "limit":
        return figures_words(gate, day=w.day)
    figures = (
        ""
        if gate.value is None
        else (value_words if isinstance(gate.value, str) else figures_words)(gate, day=w.day)
    )
    return f"{gate.verdict}: {figures}" if figures else gate.verdict


def _stop(w: Words) -> Lines | None:
    return Lines("Who can stop it, and how", tuple(items)) if (items := list(_stop_items(w))) else None


def _stop_items(w: Words) -> Iterator[tuple[str, str]]:
    file, event = w.mission.file, w.plan.event
    if event is not None and event.abort is not None:
        by = file.event.pass_.abort.said_by or "by whom is not given"
        only = (
            f"; after {last_begin_t(event)}, {w.by(event.abort.last_begin)}, only the abort words"
            if event.abort.last_begin
            else ""
        )
        yield "The pass:", f"{event.abort.words} ({by}){only}."
    supervisor = file.sortie.supervisor
    if supervisor is not None:
        reach = ", ".join(supervisor_reach(supervisor))
        word = f"recall word {supervisor.recall_word}" if supervisor.recall_word else "no recall word given"
        yield "The sortie:", f"{supervisor.name}, {word}{f', {reach}' if reach else ''}."
    stop = file.contingencies.knock_it_off
    if stop is not None:
        yield (
            "The training:" if file.training is not None else "In the air:",
            f"knock-it-off by {stop.who}: {stop.action}.",
        )


# ---------------------------------------------------------------- second page


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
            *[_lead_words(ship.can_lead)][several],
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
    kept = [event for event in w.plan.clock.events if event.id in _KEY_EVENTS]
    rows = [(event.label, w.bare(event.at), w.at_base(event.at)) for event in kept]
    base = words.zone_letters(w.plan.clock.takeoff, w.mission.base_zone)
    return grid("Clock", [("", "1fr", "l"), ("Z", "auto", "r"), (f"base, {base}", "auto", "r")], rows)


def _risk(w: Words, *, short: bool = False, most: int | None = None) -> Grid | None:
    """``short``: of each control the first words; ``most``: so many of the highest, the others counted."""
    given = w.mission.file.risk
    if not given:
        return None
    risks = given if most is None else sorted(given, key=_left, reverse=True)[:most]
    highest = max(_left(risk) for risk in risks)
    more = f" {len(given) - len(risks)} more, no higher: the review page." if len(given) > len(risks) else ""
    said = first_clauses if short else str
    rows = [
        (
            risk.hazard,
            _rating(risk.before),
            said(risk.control or ""),
            _rating(risk.after) if risk.after else "as before",
            risk.accepted_by or "NOBODY",
        )
        for risk in risks
    ]
    strong = tuple(i for i, risk in enumerate(risks) if _left(risk) == highest)
    names = words.listed(dict.fromkeys(risks[i].accepted_by or "NOBODY" for i in strong))
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


def _left(risk: Risk) -> int:
    rating = risk.after or risk.before
    return rating.likelihood * rating.severity


def _rating(rating: RiskRating) -> str:
    return f"{rating.likelihood} x {rating.severity} = {rating.likelihood * rating.severity}"


def _signature(w: Words) -> Grid:
    sortie = w.mission.file.sortie
    who = (
        "Approved by (not in the flight)"
        if sortie.self_authorised is None
        else f"Approved by (may fly: {sortie.self_authorised.authority})"
    )
    rows = (
        ("Approved / not approved", "", "", ""),
        (
            "Reasons for each CAUTION and NOT CHECKED",
            "recorded, beside each gate" if w.reasons else "",
            "",
            "",
        ),
        ("Crew" if w.mission.alone else "Leader", crew_words(w.mission.file.flight[0]), "", ""),
        (who, sortie.supervisor.name if sortie.supervisor else "", "", ""),
    )
    heads = ("Decision", "Name, role", "Date, time Z", "Signature")
    return Grid("Signature", heads, rows, ("1.3fr", "1.3fr", "1fr", "1fr"), "llll", tall=True)
