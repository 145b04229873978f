"""What to look out for on the way, where a kneeboard card has the room: other traffic, cloud on a leg, and
what keeps a risk low."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import filled_by, risk_left, traffic_rows
from briefgen.brief.cards.model import Lines
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.words import Words


def watch(w: Words) -> Lines | None:
    """A line each: other traffic, then cloud, then the controls of the risks, the highest first; None where
    there is none of it."""
    items = tuple((f"{label}:", said) for label, said in (*_traffic(w), *_cloud(w), *_risks(w)))
    said = Lines("Look out for", items) if items else None
    risks = enumerate(w.mission.file.risk)
    return filled_by(
        said, [(("risk", place, "control"), risk.control) for place, risk in risks if risk.control]
    )


def _traffic(w: Words) -> Iterator[tuple[str, str]]:
    for who, level, window in traffic_rows(w):
        yield who, f"{level}, {window}"


def _cloud(w: Words) -> Iterator[tuple[str, str]]:
    """Legs that come too near to a layer, or through it."""
    for gate in w.plan.gates:
        if gate.rule == "legs-cloud" and gate.verdict in ("FAIL", "CAUTION"):
            yield gate.title, figures_words(gate, day=w.day)


def _risks(w: Words) -> Iterator[tuple[str, str]]:
    for risk in sorted(w.mission.file.risk, key=risk_left, reverse=True):
        if risk.control:
            yield risk.hazard, risk.control
