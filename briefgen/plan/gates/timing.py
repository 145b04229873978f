"""Can the second be met, and can it be moved: T, the hold, the cue, authority, push-up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import takewhile
from math import ceil, floor

from briefgen.airmath.angles import flight_time_s
from briefgen.airmath.hold_entry import OUTBOUND_OFF_DEG
from briefgen.airmath.hold_open import LEG_MAX_S
from briefgen.airmath.hold_wait import later_low_s
from briefgen.core.diagnostics import KeyPath
from briefgen.plan.event.ceremony import last_cue
from briefgen.plan.event.hold import is_direct, turned_the_other_way
from briefgen.plan.event.slip_heard import flown_once_heard_s
from briefgen.plan.event.slip_reach import ON_TIME_S, late_at_ip_s, taken_up_s
from briefgen.plan.event.speed_alone import authority, begins
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    DEFAULT,
    About,
    at_least,
    at_most,
    no_limit,
    not_after,
    not_checked,
    span_words,
    words,
)
from briefgen.plan.model import Cue, CueCheck, EventPlan, Gate, HoldPlan, Mend, Source
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later

PUSH_SLACK_NM, PUSH_SLACK_S = 1.0, 10.0
CAP_MARGIN_KT = 15.0
# the rules by which a pass has its T: overhead at it, with the hold that must be
T_KEPT_BY = ("t-reachable", "hold-minimum")


def on_t_of(piece: str, gates: Iterable[Gate]) -> tuple[Gate, ...]:
    """Those gates that say whether the pass with this id has its T."""
    return tuple(gate for gate in gates if gate.piece == piece and gate.rule in T_KEPT_BY)


def time_reachable(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The flight can be overhead at T: the forward chain ends in time, the wait is flyable, the bias can be
    made up."""
    moves = _moves_of_t(s, p)
    about = (
        _another_t(s, p, text("t-reachable"), moves)
        if moves and p is not s.passes[0]
        else text("t-reachable").but(remedy=_remedy_t(s, p))
    )
    problem = _why_not_reachable(s, p)
    yield words(about, not problem, problem or _how_reached(s, p), "overhead at T")


def _how_reached(s: Sortie, p: EventPlan) -> str:
    """What takes up the time that is left: the hold with its laps, else nothing."""
    hold = p.hold
    if hold is None:
        there = p.ip_time
        off_s = taken_up_s(s.clock, there)
        taken_up = _taken_up(s, off_s, there, "reached") if abs(off_s) > ON_TIME_S else ""
        return f"the IP on its second, without a hold{taken_up}"
    laps = f"{len(hold.laps)} lap{'' if len(hold.laps) == 1 else 's'}"
    how = f"{span_words(hold.wait_s)} of hold in {laps}" if hold.laps else "straight through the hold"
    return f"{how}{_taken_up(s, hold.taken_up_s, hold.arrival, 'entered')}"


def _taken_up(s: Sortie, taken_s: float, there: datetime, reached: str) -> str:
    if not taken_s:
        return ""
    leg = next(phase.leg for phase in s.clock.phases if phase.end == there and phase.leg is not None)
    seconds = f"{abs(taken_s):.0f} s" if abs(taken_s) >= 1.0 else "less than 1 s"
    return f", {reached} {seconds} {'earlier' if taken_s > 0 else 'later'} by speed from {leg.between}"


def _remedy_t(s: Sortie, p: EventPlan) -> str:
    hold = p.hold
    if hold is not None and hold.shortest_s is not None and hold.wait_s < hold.shortest_s:
        return (
            f"take off at least {span_words(ceil(hold.shortest_s - hold.wait_s))} earlier, or give up a"
            " set-up"
        )
    if hold is not None and not hold.flyable:
        waits = " or ".join(
            f"{span_words(ceil(abs(wait - hold.wait_s)))} {'longer' if wait > hold.wait_s else 'shorter'}"
            for wait in hold.nearest_s
        )
        return f"wait {waits}: move the take-off or the time over target"
    if p.push_problem:
        return p.push_problem
    late = ceil(_late_at_ip_s(s, p))  # rather early than late: speed is kept for slips
    return f"take off {span_words(abs(late))} {'earlier' if late > 0 else 'later'}" if late else ""


def _moves_of_t(s: Sortie, p: EventPlan) -> tuple[float, ...]:
    """By how many seconds T can be moved so that it is met: negative is earlier."""
    hold = p.hold
    if hold is None:
        late = _late_at_ip_s(s, p)
        return (late,) if late else ()
    if hold.shortest_s is not None and hold.wait_s < hold.shortest_s:
        return (hold.shortest_s - hold.wait_s,)
    return () if hold.flyable else tuple(wait - hold.wait_s for wait in hold.nearest_s)


def _another_t(s: Sortie, p: EventPlan, about: About, moves: Sequence[float]) -> About:
    """What a pass after the first needs, whose wait no other take-off changes: another T, or of a pass that
    follows the one before it another length between the two."""
    whole = [ceil(move) if move > 0 else floor(move) for move in moves]
    if p.section.follows:
        before = s.passes[s.passes.index(p) - 1]
        apart_s = (p.true_time - before.true_time).total_seconds()
        key = (*p.section.cause, "after")
        mends = tuple(Mend(key, span_words(apart_s + move)) for move in whole if apart_s + move > 0)
        return about.but(remedy="another length between the two passes would do", mends=mends)
    ways = " or ".join(f"{span_words(abs(move))} {'later' if move > 0 else 'earlier'}" for move in whole)
    return about.but(remedy=f"a T {ways} would do{_longer_way(s, p)}")


def _longer_way(s: Sortie, p: EventPlan) -> str:
    """Without a hold what takes up the time of a flight that is too early; empty where it isn't."""
    late_s = _late_at_ip_s(s, p)
    before = [phase.leg for phase in takewhile(lambda phase: phase.piece != p.section.id, s.clock.phases)]
    leg = next((leg for leg in reversed(before) if leg is not None), None)
    if late_s >= 0.0 or leg is None:
        return ""
    more_nm = -late_s * leg.gs_kt / 3600.0
    return f", or a way to its IP {more_nm:.1f} nm longer at {leg.gs_kt:.0f} KGS, or a hold before it"


def _late_at_ip_s(s: Sortie, p: EventPlan) -> float:
    late = late_at_ip_s(s.clock, p)
    return late if abs(late) > ON_TIME_S else 0.0


def _why_not_reachable(s: Sortie, p: EventPlan) -> str:
    hold = p.hold
    if hold is not None and hold.wait_s < 0:
        return f"the flight reaches the hold {span_words(-hold.wait_s)} after it must leave it"
    if hold is not None and not hold.flyable:
        nearest = " or ".join(span_words(wait) for wait in hold.nearest_s)
        return (
            "no whole number of laps makes a wait of"
            f" {span_words(hold.wait_s)}{f'; {nearest} can be flown' if nearest else ''}"
        )
    if p.push_problem:
        return "the late bias can't be made up"
    late = _late_at_ip_s(s, p)
    return f"the IP is reached {span_words(abs(late))} too {'late' if late > 0 else 'early'}" if late else ""


def hold_bounds(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The hold is no shorter than its minimum and no longer than its maximum."""
    hold = p.hold
    if hold is None:
        return
    for bound, limit, compare, flown_s in (
        ("minimum", hold.minimum_s, at_least, hold.shortest_s),
        ("maximum", hold.maximum_s, at_most, None),
    ):
        gap = 0.0 if limit is None else abs(hold.wait_s - (limit if flown_s is None else flown_s))
        about = text(f"hold-{bound}", gap=span_words(ceil(gap))).but(cause=(*hold.cause, bound))
        if p is not s.passes[0]:
            about = _another_t(s, p, about, (_moves_of_t(s, p) or [gap]) if compare is at_least else [-gap])
        gate = no_limit(about, hold.wait_s) if limit is None else compare(about, hold.wait_s, limit)
        yield if_held(s, p, about, gate)


def if_held(s: Sortie, p: EventPlan, about: About, gate: Gate) -> Gate:
    """A wait that is over before the flight is there passes nothing."""
    hold = p.hold
    if gate.verdict != "PASS" or hold is None or hold.reached:
        return gate
    key: KeyPath = ("ground_ops", "takeoff")
    if p is not s.passes[0]:
        about = _another_t(s, p, about, _moves_of_t(s, p))
        key = (*p.section.cause, "after") if p.section.follows else p.section.key("time")
    return not_checked(about, "the hold is not reached in time", value=gate.value, key=key)


def hold_entry(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The flight comes into the hold directly: inside the ICAO sector, and no lap goes out far off the
    reciprocal of the inbound course."""
    hold = p.hold
    if hold is None:
        return
    source = Source(
        f"ICAO Doc 8168, entry sectors; outbound at most {OUTBOUND_OFF_DEG:.0f} deg off the reciprocal:"
        f" {DEFAULT.words}",
        ("rule", "default"),
    )
    other = "left" if hold.turns == "right" else "right"
    direct = hold.entry and is_direct(turned_the_other_way(p.shape, hold))
    turn = f", turn {other} in the hold" if direct else ""
    remedy = (
        f"come to the fix nearer the inbound course{turn}, or brief this entry: lap 1 is timed about only"
    )
    drift = hold.outbound_off_deg is not None and hold.outbound_off_deg > OUTBOUND_OFF_DEG
    about = text("hold-entry").but(
        source=source,
        cause=hold.cause,
        remedy="a hold less across the wind, or a faster one" if drift and not hold.entry else remedy,
    )
    yield words(about, not hold.entry and not drift, _entry_words(hold, drift), "direct", worse="CAUTION")


def hold_leg(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The outbound leg as typed can be flown: in wind a short one may roll out past the fix. What is flown
    then is longer, and so is one more lap."""
    if p.hold is None or p.shape is None:
        return
    about, key = text("hold-leg"), (*p.hold.cause, "leg")
    shortest_s, typed_s = later_low_s(p.shape.track), p.shape.leg_s
    if shortest_s is None:
        none = (
            f"{span_words(typed_s)} typed, and no leg up to {span_words(LEG_MAX_S)} can be flown in this wind"
        )
        yield words(about.but(cause=key), False, none, "one that can be flown", worse="CAUTION")
        return
    mends = (Mend(key, span_words(ceil(shortest_s))),)
    yield at_least(about.but(cause=key, mends=mends), typed_s, shortest_s, worse="CAUTION")


def _entry_words(hold: HoldPlan, drift: bool) -> str:
    off = (
        f"{abs(hold.off_inbound_deg):.0f} deg off the inbound course"
        f" {'with' if hold.off_inbound_deg > 0 else 'against'} the turns"
    )
    if hold.entry:
        return f"{off}: {hold.entry} entry, at least two laps"
    return f"outbound {hold.outbound_off_deg:.0f} deg off the reciprocal" if drift else f"direct, {off}"


def cue_first(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The cue that T hangs on is heard, relayed and read back before leave-hold, without a hold before the
    IP. None of a pass whose T follows another's: that one's cue tells it."""
    if p.section.follows:
        return
    check, hold = p.cue_check, p.hold
    about = text("cue-first", there="leave-hold" if hold is not None else "the IP").but(
        cause=check.cause if check else p.section.event.key("script")
    )
    if check is None:
        key = p.section.key("time") if p.cues else p.section.event.key("script")
        yield not_checked(
            about.but(unit=""),
            "T is a clock time and hangs on no cue: nobody hears whether the ceremony runs early or late; it"
            " takes a script, and a time over target at the end of one of its cues",
            key=key,
        )
        return
    about = about.but(remedy=_later_run_in(check, hold))
    gate = relayed(p, about, not_after(about, check.known_at, later(check.known_at, check.margin_s)))
    yield _slip_heard(p, gate) if gate.verdict == "PASS" else gate


def _slip_heard(p: EventPlan, gate: Gate) -> Gate:
    """The gate of a cue that is known in time, with a caution where not all of the accepted slip is: heard at
    the first cue of the script. Without a hold the ends of the slip are judged by speed already."""
    event, hold = p.section.event, p.hold
    if hold is None or not hold.flyable or not p.speeds_known or event.written.accept_slip is None:
        return gate
    early, late = flown_once_heard_s(p, event.early_s, event.late_s)
    if -early >= floor(event.early_s) and late >= floor(event.late_s):
        return gate
    why = (
        f"once {p.cues[0].id} is heard, the flight can be told {span_words(-early)} earlier to"
        f" {span_words(late)} later; accepted are {span_words(event.early_s)} and {span_words(event.late_s)}:"
        " accept less slip, put a cue into the script that is heard sooner, or brief what is said then"
    )
    return replace(gate, verdict="CAUTION", why=why, cause=event.key("accept_slip"))


def cues_in_hold(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Where T hangs on no cue some cue of the script still is known before leave-hold, without a hold before
    the IP: it tells early or late in time for a change. None without a script, and where T hangs on one."""
    if p.cue_check is not None or not p.cues:
        return
    first, event = p.cues[0], p.section.event
    known, leave = later(first.at, event.relay_s), begins(p.chain)
    left = authority(p.chain, max(known, leave), "first cue known")
    there = "leave-hold" if p.hold is not None else "the IP"
    about = text("cues-in-hold", there=there, cue=first.id, left=_slip_left(left.early_s, left.late_s)).but(
        cause=first.cause
    )
    gate = not_after(about, known, leave, worse="CAUTION")
    yield with_relay(p, about, gate) if gate.verdict == "PASS" else gate


def with_relay(p: EventPlan, about: About, gate: Gate) -> Gate:
    """A gate that counts the relay: without a relay time none is counted, so what would do is not checked."""
    event = p.section.event
    if event.written.relay_time is not None:
        return gate
    why = (
        "no relay time is given and none is counted: from the cue heard to the time read back it takes longer"
    )
    return not_checked(about, why, value=gate.value, key=event.key("relay_time"))


def relayed(p: EventPlan, about: About, gate: Gate) -> Gate:
    """A gate that counts the relay from the cue that T hangs on; what is too late already stays so."""
    return gate if p.cue_check is None or gate.verdict == "FAIL" else with_relay(p, about, gate)


def _later_run_in(check: CueCheck, hold: HoldPlan | None) -> str:
    """How the flight could begin its run-in later, or what is to be accepted; what has been found to bring
    another fault says so."""
    both = "both the hold and the IP" if hold is not None else "the IP"
    moved = f"{both} {check.hold_nearer_nm:.1f} nm nearer"
    left = f"waive it, knowing that after it {_slip_left(*check.slip_left_s)}"
    if check.nearer_problem:
        return f"{left} ({moved} would not help: {check.nearer_problem})"
    by_s = check.takeoff_earlier_s
    takeoff = f" and take off {span_words(abs(by_s))} {'earlier' if by_s > 0 else 'later'}" if by_s else ""
    return f"move {moved}{takeoff}, or {left}"


def _slip_left(early_s: float, late_s: float) -> str:
    if early_s < 0.5 and late_s < 0.5:
        return "nothing can be changed any more"
    return f"speed alone can arrive {span_words(early_s)} earlier to {span_words(late_s)} later"


def authority_at_cue(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Speed can still take up what the rest of the ceremony may do: its spread and the tolerance, early and
    late. None where T hangs on no cue: ``cue_first`` says so."""
    if p.cue_check is None:
        return
    at, tolerance = p.authority_at_last_cue, p.tolerance_s
    cue = last_cue(p.cues, p.true_time)
    spread = cue.spread_s if cue is not None else None
    for way in ("early", "late"):
        about = text(f"authority-{way}").but(cause=p.section.event.key("script"))
        if at is None or spread is None or tolerance is None:
            yield not_checked(
                about, "the spread of the last cue or the tolerance isn't given", key=_spread_key(p, cue)
            )
        elif not p.chain.speeds_known:
            yield not_checked(
                about,
                "how fast the flight accelerates, its slowest or its fastest speed isn't given",
                key=speeds_key(s, p),
            )
        else:
            left_s = at.early_s if way == "early" else at.late_s
            yield relayed(p, about, at_least(about, left_s, spread + tolerance))


def _spread_key(p: EventPlan, cue: Cue | None) -> KeyPath:
    """The first that is missing of the script, the spread of its last cue, and the tolerance."""
    if cue is None:
        return p.section.event.key("script")
    return (*cue.cause, "spread") if cue.spread_s is None else p.section.key("tolerance")


def speeds_key(s: Sortie, p: EventPlan) -> KeyPath:
    """The first that is missing of what bounds the formation's speed and how fast it changes."""
    if not p.chain.rates_given:
        return p.section.key("run_in", "acceleration" if s.mission.alone else "formation_acceleration")
    return (
        p.section.key("run_in", "minimum_speed")
        if p.chain.minimum_gs_kt is None
        else ("limits", "pass_maximum_speed")
    )


def push_slack(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The push-up begins at least a mile or ten seconds after the IP."""
    if p.chain.late_bias_s <= 0:
        return
    about = text("push-slack")
    push = p.chain.push
    if push is None:
        yield not_checked(
            about, "there is no push-up that makes the bias up", key=p.section.key("push_up_to")
        )
        return
    limit = min(PUSH_SLACK_S, flight_time_s(PUSH_SLACK_NM, p.chain.run_in.gs_kt))
    yield at_least(about, push.after_ip_s, limit)


def cap_margin(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The push-up speed leaves something to the cap, so that a late flight can still push harder."""
    if p.chain.push is None:
        return
    about = text("cap-margin", cap=p.chain.cap.because)
    if p.chain.cap.gs_kt is None:
        yield no_limit(about, p.chain.push_to_kt, key=("limits", "pass_maximum_speed"))
        return
    yield at_least(about, p.chain.cap.gs_kt - p.chain.push_to_kt, CAP_MARGIN_KT)
