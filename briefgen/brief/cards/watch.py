"""What to look out for on the way, where a kneeboard card has the room: other traffic, cloud on a leg, and
what keeps a risk low."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import risk_left, window_words
from briefgen.brief.cards.model import Lines
from briefgen.brief.wording import format as words
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.words import Words


def watch(w: Words) -> Lines | None:
    """A line each: other traffic, then cloud, then the controls of the risks, the highest first; None where
    there is none of it."""
    items = tuple((f"{label}:", said) for label, said in (*_traffic(w), *_cloud(w), *_risks(w)))
    return Lines("Look out for", items) if items else None


def _traffic(w: Words) -> Iterator[tuple[str, str]]:
    event = w.mission.file.event
    if event is None:
        return
    for traffic, at in zip(event.other_traffic, w.mission.times.other_traffic, strict=True):
        level = words.level_band(traffic.level) if traffic.level else "level not given"
        yield traffic.who, f"{level}, {window_words(w, at.start, at.until)}"


def _cloud(w: Words) -> Iterator[tuple[str, str]]:
    """Legs that come too near to a layer, or through it."""
    for gate in w.plan.gates:
        if gate.rule == "legs-cloud" and gate.verdict in ("FAIL", "CAUTION"):
            yield gate.title, figures_words(gate, day=w.day)


def _risks(w: Words) -> Iterator[tuple[str, str]]:
    for risk in sorted(w.mission.file.risk, key=risk_left, reverse=True):
        if risk.control:
            yield risk.hazard, risk.control
