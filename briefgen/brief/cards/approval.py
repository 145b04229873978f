"""The approval sheet: what a supervisor needs for a decision in two minutes on the first page, the details on
the second; when more is open than the first holds, all of it on pages of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from briefgen.brief.cards.approval_details import details, details_reductions
from briefgen.brief.cards.approval_unusual import unusual
from briefgen.brief.cards.common import crew_words, first_clauses, grid, last_begin_t, under_line
from briefgen.brief.cards.gates import LIST_PAGE, ORDER, all_open, worst, worst_in_short
from briefgen.brief.cards.model import Card, Grid, Large, Lines, Pairs, Reduction, Side
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.fails import lowest_low
from briefgen.brief.wording.gates import figures_words, value_words
from briefgen.brief.wording.lost_contact import supervisor_reach
from briefgen.brief.wording.open_limits import tally
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.tiers import base_words
from briefgen.brief.wording.wait_limits import latest_said
from briefgen.brief.wording.words import NONE, NOT_CHECKED, Words, card_words
from briefgen.core.context import DecisionLabel
from briefgen.plan.model import Gate, Verdict
from briefgen.plan.one_block import each_block
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan

_MOST_CHANGES = 18
_DEFAULTS = "what is judged by a default is only counted"
_KEYLESS = "the keys that settle what is open are left out"
_FEW = 5  # of a list, on a page that is too full

Decision = tuple[tuple[DecisionLabel, str], ...]


def approval(plan: Plan, decision: Decision = (), reasons: Mapping[str, str] | None = None) -> Card:
    """Pages of A4. ``decision``: what there is to say of an approval, and ``reasons``: gate id → why it
    was accepted, both as in the context's stamp."""
    w = card_words(plan, reasons or {})
    listed = all_open(w)
    sides = (
        ("for approval", {"decision": _decision(decision), **_first(w)}),
        ("details", details(w)),
        *(("all that is open", {"open": table}) for table in listed),
    )
    return Card(
        w.callsign,
        f"{w.mission.file.sortie.name}  ·  {under_line(w)}",
        sides,
        reductions=(_shorter(w, decision), details_reductions(w), *_list_reductions(w)),
    )


def _list_reductions(w: Words) -> Iterator[tuple[Reduction, ...]]:
    """What the pages of the list give up, each for itself, where a row is longer than it was taken for."""
    for keyless, short in zip(all_open(w, keys=False), all_open(w, short=True), strict=True):
        yield (
            Reduction("open", _KEYLESS, keyless),
            Reduction("open", "of what is open only the first words, without keys and reasons", short),
        )


def _shorter(w: Words, decision: Decision) -> tuple[Reduction, ...]:
    """What the first page gives up: what a default judges, the keys of what is open, the ends of long
    reasons, then those for what was not checked; then what hardly a sortie has so much of. Never the verdict,
    the figures, who can stop it, and what fails. Each way tells all that it gives up, as it takes the place
    of the one before."""
    keys = Reduction("worst", f"{_KEYLESS}{_whole(w)}", worst(w, keys=False))
    counted = Reduction("unusual", _DEFAULTS, unusual(w, counted=True))
    return (counted, keys, *_shorter_reasons(w), *_counted(w, decision))


def _whole(w: Words) -> str:
    """Where what is cut on the first page stands whole."""
    return f" (whole on page {LIST_PAGE})" if all_open(w) else ""


def _shorter_reasons(w: Words) -> tuple[Reduction, ...]:
    if not w.reasons:
        return ()
    brief = replace(w, reasons={id: first_clauses(reason) for id, reason in w.reasons.items()})
    said = f"{_KEYLESS}, and the reasons for accepting each {{}}{_whole(w)}"
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
            f"{_DEFAULTS}, and only the first {_FEW} waivers and doubts are named",
            unusual(w, counted=True, most=_FEW),
        ),
        Reduction(
            "worst",
            f"of what is open only the first words, without keys and reasons{_whole(w)}",
            worst_in_short(w),
        ),
        Reduction(
            "unusual", f"{_DEFAULTS}, and so are the waivers and doubts", unusual(w, counted=True, most=0)
        ),
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


def _first(w: Words) -> Side:
    return {
        "verdict": _verdict(w),
        "unusual": unusual(w),
        "answers": _answers(w),
        "weather_left": _weather(w, 0),
        "weather_right": _weather(w, 1),
        "stop": _stop(w),
        "worst": worst(w),
    }


# ---------------- a decision that was made, and the verdict


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
    boxes: list[tuple[str, str, str]] = [(each, str(counts[each]), say[each]) for each in ORDER]
    low = lowest_low(w.plan.gates)
    if low is not None:
        said = f"over {low.name}, {low.way}; outside the pass"
        boxes.append(("LOWEST", words.height(low.clearance_ft), said))
    return Large("Verdict", tuple(boxes), "huge")


# ---------------------------------------------------------------- the answers


def _answers(w: Words) -> Pairs:
    return Pairs("In figures", tuple(_answer_rows(w)))


def _answer_rows(w: Words) -> Iterator[tuple[str, str]]:
    fuel = w.plan.fuel
    if fuel is None:
        yield "Lowest landing fuel", f"{NOT_CHECKED}: the fuel cannot be worked out"
    else:
        lowest = w.ship_fuel(fuel.lowest_landing_ship)
        whose = f", ship {lowest.ship} ({crew_words(w.mission.ship(lowest.ship))})"
        whose = "" if w.mission.alone else whose
        yield (
            "Lowest landing fuel",
            (f"{_left(w, fuel.lowest_landing)}{whose}; required {base_words(fuel, lowest)}"),
        )
        for seen in each_block(w.plan):
            yield from _joker(replace(w, plan=seen))
    several = len(w.plan.passes) > 1
    for seen in each_pass(w.plan):
        name = name_of(seen.passes[0].section)
        yield f"True time, latest T{f' ({name})' if name else ''}", _latest(replace(w, plan=seen))
    for id, label in (
        ("pass-height", "Pass height"),
        ("pass-speed", "Pass speed"),
        ("permission-lowest", "Permission, lowest"),
    ):
        found = [gate for gate in w.plan.gates if gate.rule == id]
        yield from ((gate.title if several else label, _judged(w, gate)) for gate in found)
    if w.plan.training is not None and w.plan.event is not None:
        yield "The flypasts cost" if several else "The flypast costs", _cost(w)


def _left(w: Words, landing: float) -> str:
    return w.fuel(landing) if landing >= 0 else f"{NONE}, {w.fuel(-landing)} short"


def _joker(w: Words) -> Iterator[tuple[str, str]]:
    ships = [s for s in w.plan.fuel.ships if s.joker is not None and s.training_end_predicted is not None]
    if ships:
        least = min(ships, key=lambda s: s.training_end_predicted - s.joker.figure)
        margin = least.training_end_predicted - least.joker.figure
        sense = "above" if margin >= 0 else "BELOW"
        yield (
            f"Joker margin{in_block(w.plan, w.plan.trainings[0].id)}",
            f"{w.fuel(abs(margin))} {sense} joker at the end of training"
            + ("" if w.mission.alone else f", ship {least.ship}"),
        )


def _latest(w: Words) -> str:
    return f"T {w.z(w.plan.event.true_time)} {latest_said(w.plan, w.by)}"


def _judged(w: Words, gate: Gate) -> str:
    figures = figures_words(gate, day=w.day)
    if gate.lacks == "limit":
        return figures
    of = " (listed obstacles only)" if gate.rule == "pass-height" and gate.value is not None else ""
    return f"{figures}: {gate.verdict}{of}"


def _cost(w: Words) -> str:
    """Not told where another way would be flown without the passes, which nobody has written."""
    flown = [
        f"{words.counted(own.setups_flown, 'set-up')} flown{in_block(w.plan, own.id)}, at least"
        f" {own.setups_minimum}"
        for own in w.plan.trainings
    ]
    if len(flown) > 1 or not w.plan.route.stretches[0].blocks:
        return "; ".join((f"{NOT_CHECKED}: the way between without them is not written", *flown))
    training = w.plan.trainings[0]
    setups = NOT_CHECKED if training.cost_setups is None else words.counted(training.cost_setups, "set-up")
    fuel = NOT_CHECKED if training.cost_fuel_printed is None else w.fuel(training.cost_fuel_printed)
    of = "" if w.mission.alone else " of the thirstiest ship"
    return f"{setups} and {fuel}{of}; {flown[0]}"


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
    file = w.mission.file
    for event in w.plan.passes:
        if event.abort is not None:
            said_by = event.section.written.abort.said_by or "by whom is not given"
            only = (
                f"; after {last_begin_t(event)}, {w.by(event.abort.last_begin)}, only the abort words"
                if event.abort.last_begin
                else ""
            )
            yield f"{name_of(event.section) or 'The pass'}:", f"{event.abort.words} ({said_by}){only}."
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
