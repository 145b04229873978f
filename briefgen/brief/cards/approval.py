"""The approval sheet: two pages of A4 for a supervisor with two minutes. The answer first, then what it rests
on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from briefgen.brief.cards.approval_details import details, details_least, details_reductions
from briefgen.brief.cards.approval_figures import answers, figures, passes
from briefgen.brief.cards.approval_open import ORDER, listed
from briefgen.brief.cards.approval_unusual import unusual
from briefgen.brief.cards.common import last_begin_t, sketch, under_line
from briefgen.brief.cards.model import Card, Large, Lines, Reduction, Side, Sketch
from briefgen.brief.cards.room import first_bands, second_bands, used_mm
from briefgen.brief.figures import clock_bar, route
from briefgen.brief.wording import format as words
from briefgen.brief.wording.fails import first_fails, lowest_low
from briefgen.brief.wording.lost_contact import supervisor_reach
from briefgen.brief.wording.open_limits import counts_words, tally
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.words import Words, card_words
from briefgen.core.context import DecisionLabel
from briefgen.core.records import kept
from briefgen.draw.scene.model import Canvas
from briefgen.plan.sortie import Plan

LEAST_PT = 9.0
_MOST_CHANGES = 18
_FEW = 5  # of a list, on a page that is too full
_MAP, _BAR_PT = Canvas(160.0, 130.0, "card"), 304.0
_PAGE_MM = 250.0  # between head and foot
_REFUSED_MM = 6.0  # the refusal, above the head

Decision = tuple[tuple[DecisionLabel, str], ...]


def approval(plan: Plan, decision: Decision = (), reasons: Mapping[str, str] | None = None) -> Card:
    """``decision``: what there is to say of an approval, and ``reasons``: gate id → why it was accepted, both
    as in the context's stamp."""
    w = card_words(plan, reasons or {})
    first, second = {"decision": _decision(decision), **_first(w)}, details(w)
    spare = {**first, "decision": _decision(decision, most=_FEW), "unusual": unusual(w, most=0)}
    bare = {**spare, "map": None, "bar": None}
    least = details_least(w)
    room = _PAGE_MM - (_REFUSED_MM if tally(plan.gates)["FAIL"] else 0.0)
    table = listed(
        w,
        [
            (room - used_mm(first_bands(one)), room - used_mm(second_bands(other)))
            for one, other in ((first, second), (spare, least), (bare, least))
        ],
    )
    sides = (
        ("for approval", {**first, "open": table.first}),
        ("details", {**second, "open": table.second}),
    )
    return Card(
        w.callsign,
        f"{w.mission.file.sortie.name}  ·  {under_line(w)}{_book(w)}",
        sides,
        options={"least": LEAST_PT, "table": LEAST_PT},
        reductions=(_shorter(w, decision), details_reductions(w)),
    )


def _book(w: Words) -> str:
    """The unit's book that the mission stands on: its file, edition, and the mark that changes with it."""
    unit = w.mission.file.unit
    if unit is None:
        return ""
    return f"  ·  unit's book {unit.book} of {words.day(unit.date)}, fingerprint {w.mission.source.book_mark}"


def _first(w: Words) -> Side:
    return {
        "answer": _answer(w),
        "figures": figures(w),
        "passes": passes(w),
        "map": _map(w.plan),
        "bar": _bar(w.plan),
        "answers": answers(w),
        "stop": _stop(w),
        "unusual": unusual(w),
    }


def _shorter(w: Words, decision: Decision) -> tuple[Reduction, ...]:
    """What the first page gives up, what hardly a sortie has so much of. Never the answer, the figures, who
    can stop it, and what fails. Each way tells all that it gives up, as it takes the place of the one
    before."""
    changes = f"only the first {_FEW} changes since the approval"
    named = f"only the first {_FEW} waivers and doubts are named"
    return (
        Reduction("decision", changes, _decision(decision, most=_FEW)),
        Reduction("unusual", named, unusual(w, most=_FEW)),
        Reduction("unusual", "waivers and doubts are only counted", unusual(w, most=0)),
        Reduction("map", "the map and the bar of time left out", also={"bar": None}),
    )


# ---------------------------------------------------------------- the answer


def _answer(w: Words) -> Large:
    counts = tally(w.plan.gates)
    asked = counts["CAUTION"] + counts["NOT CHECKED"]
    reasons = words.counted(asked, "reason")
    if counts["FAIL"]:
        said, why = f"Not to be flown: {counts['FAIL']} FAIL", first_fails(w.plan.gates, day=w.day)
    elif w.reasons:
        said, why = f"{reasons} recorded", "Nothing FAILs; each is beside what it accepts"
    elif asked:
        said, why = (
            f"May be signed once {reasons} {'is' if asked == 1 else 'are'} written",
            "Nothing FAILs; each open item wants a reason. NOT APPROVED until signed",
        )
    else:
        said, why = "May be signed", "Nothing FAILs, and nothing needs a reason"
    told = (*counts_words(counts, ORDER), f"{counts['PASS']} PASS")
    item = (", ".join(told), said, f"{why}.")
    boxes, low = [item], lowest_low(w.plan.gates)
    if low is not None:
        over = f"over {low.name}, {low.way}; outside the pass"
        boxes.append(("LOWEST", words.height(low.clearance_ft), over))
    return Large("Answer", tuple(boxes), "huge", dark=(0,) if counts["FAIL"] else (), wraps=True)


# ---------------------------------------------------------------- pictures


@kept
def _map(plan: Plan) -> Sketch | None:
    maker = route.make(plan)
    return None if maker is None else sketch("Where: to scale, north up", maker(_MAP))


@kept
def _bar(plan: Plan) -> Sketch | None:
    maker = clock_bar.make(plan)
    canvas = Canvas(_BAR_PT, clock_bar.low_pt(plan), "card")
    return None if maker is None else sketch("When: take-off to last landing, to scale", maker(canvas))


# ---------------------------------------------------------------- a decision that was made


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


# ---------------------------------------------------------------- who can stop it


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
