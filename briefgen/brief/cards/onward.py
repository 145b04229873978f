"""On a pass's side of the kneeboard card: what comes after the pass, where another one follows."""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.cards.common import left_in_column, never_left
from briefgen.brief.cards.model import Run
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.words import NOT_CHECKED, UNREACHABLE, Words
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.event.onward import continue_to
from briefgen.plan.event.waits import latest_t
from briefgen.plan.model import EventPlan
from briefgen.plan.one_pass import seen_from


def onward(w: Words, event: EventPlan | None, ship: Ship) -> Run | None:
    """With what fuel, and until when, the flight continues to the next pass, and the way there by the clock;
    what is flown when this one is stopped or lost. ``w`` is of the whole plan. None after the last pass."""
    found = None if event is None else continue_to(w.plan, event)
    if event is None or found is None:
        return None
    name, own = pass_name(found.to), found.fuel.get(ship.ship)
    flight = max(found.fuel.values(), default=None)
    fuel = NOT_CHECKED if own is None or flight is None else w.fuel(flight)
    goes_on = event.section.given_up == "next pass"
    until = "its T moves with this one" if found.latest is None else _by(w, event, found.latest)
    return Run(
        "",
        (
            (f"CONTINUE TO {name}", f"with {fuel} at the end of egress, {until}"),
            ("Aborted or UNABLE", f"on to {name}" if goes_on else f"GO HOME, not to {name}"),
            *_way(w, event, ship),
        ),
    )


def _by(w: Words, event: EventPlan, latest: datetime) -> str:
    """Until when the egress may end for the next T to be kept: never later than this pass itself may be
    flown."""
    own = latest_t(seen_from(w.plan, event))
    ends = None if own is None else event.chain.ends + (own.latest_t - event.true_time)
    return f"by {w.by(latest)}" if ends is None or ends >= latest else f"by {w.by(ends)}, after the latest T"


def _way(w: Words, event: EventPlan, ship: Ship) -> list[tuple[str, str]]:
    """The end of the egress, of each leg and of the wait up to the next pass: time and fuel."""
    fuel = w.ship_fuel(ship.ship)
    left = {} if fuel is None else {row.phase_id: left_in_column(row, fuel) for row in fuel.rows}
    phases = list(w.plan.clock.phases)
    last = max(i for i, phase in enumerate(phases) if phase.piece == event.section.id)
    rows = []
    for phase in phases[last if event.egress is not None else last + 1 :]:
        if phase.kind == "hold":
            name = "Leave hold"
        elif phase.leg is not None and phase.kind in ("egress", "transit", "climb"):
            name = "Egress" if phase.kind == "egress" else phase.leg.end.id
        else:
            break
        amount = f", {left[phase.id]}" if phase.id in left else ""
        rows.append((name, UNREACHABLE if never_left(w, phase) else f"{w.bare(phase.end)}{amount}"))
    return rows
