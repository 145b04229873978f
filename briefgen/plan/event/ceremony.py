"""The event on the ground: cues, contact schedule, other parties, and whether the cue that T hangs on comes
in time."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import ceil

from briefgen.airmath.angles import distance_flown_nm
from briefgen.airmath.script import Part
from briefgen.mission.edit.changes import nearer_pass
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import EventSection, PassSection
from briefgen.mission.schema.event import Cue as ScriptCue
from briefgen.plan.event.pass_chain import plan_pass_chain, trouble_in_words
from briefgen.plan.event.speed_alone import authority, begins, workload
from briefgen.plan.model import Contact, Cue, CueCheck, Party, PassChain
from briefgen.units.blank import named

MINUTES_BEFORE = (15, 5, 3)  # contact schedule before T: common practice, no source
SAY_TIME = "True time over target as held, ceremony early, late or on time"
SAY_FOLLOWS = "True time over target as held; a change is told of {}, and this T moves with it"
SAY_FLOWN = "True time over target as held; {} is flown, and this T moves no more"
SAY_SECONDS = "Seconds, no clock time: {}"
SECONDS_ONLY = "fast or slow only"  # where the file doesn't say what may be said then


def cues_of(event: EventSection) -> tuple[Cue, ...]:
    """The script in time order."""
    script, times = event.written.script, event.times.cues
    found = [
        Cue(
            id,
            cue.says,
            times[id],
            cue.lasts,
            cue.spread,
            tuple(
                (mark, times[id] + timedelta(seconds=s))
                for mark, s in sorted(cue.marks.items(), key=lambda m: m[1])
            ),
            event.key("script", id),
        )
        for id, cue in script.items()
    ]
    return tuple(sorted(found, key=lambda cue: cue.at))


def last_cue(cues: tuple[Cue, ...], true_time: datetime) -> Cue | None:
    """The last cue that begins before T: what still varies after it is its own length. Later cues say nothing
    about T. None without one."""
    return next((cue for cue in reversed(cues) if cue.at < true_time), None)


def script_parts(section: PassSection) -> tuple[Part, ...]:
    """The script up to T of a pass as a chain of parts, for predicting T as cues and marks are heard; empty
    when T is an explicit time.

    A part lasts to the next cue, the one that T hangs on its own length. A part without length keeps no
    spread: nothing can be said of its pace.
    """
    event = section.event
    hangs_on, script, times = section.cue_of_t, event.written.script, event.times.cues
    if hangs_on is None or hangs_on not in times:
        return ()
    before = sorted((id for id in script if times[id] < times[hangs_on]), key=lambda id: times[id])
    chain = [*before, hangs_on]
    ends = [times[id] for id in chain[1:]] + [
        times[hangs_on] + timedelta(seconds=script[hangs_on].lasts or 0.0)
    ]
    return tuple(
        _part(id, script[id], (end - times[id]).total_seconds()) for id, end in zip(chain, ends, strict=True)
    )


def _part(id: str, cue: ScriptCue, lasts_s: float) -> Part:
    return Part(
        id,
        lasts_s,
        cue.spread if lasts_s > 0.0 else None,
        tuple(sorted(cue.marks.items(), key=lambda mark: mark[1])),
    )


def contacts_of(
    chain: PassChain, cues: tuple[Cue, ...], leader: PassSection | None = None
) -> tuple[Contact, ...]:
    """In place, radio check with the time hack, T-15, -5 and -3 min, each cue, in time order. At T-15 to -3
    min stands what may still be said then; ``leader``: the pass that T moves with."""
    event = chain.section.event
    ground, where = event.written.ground_contact, event.key("ground_contact")
    found = []
    if ground is not None and event.times.in_place is not None:
        found.append(
            Contact(
                "In place",
                event.times.in_place,
                f"On the spot, radio on, {'script' if cues else 'card'} in hand",
                (*where, "in_place"),
            )
        )
    if ground is not None and event.times.radio_check is not None:
        found.append(
            Contact(
                "Radio check",
                event.times.radio_check,
                "Radio check and time hack with the flight",
                (*where, "radio_check"),
            )
        )
    for before in MINUTES_BEFORE:
        at = chain.true_time - timedelta(minutes=before)
        found.append(Contact(f"T-{before} min", at, say_at(chain, at, leader), chain.section.key("time")))
    found += [Contact(cue.id, cue.at, cue.says, cue.cause) for cue in cues]
    return tuple(sorted(found, key=lambda c: c.at))


def say_at(chain: PassChain, at: datetime, leader: PassSection | None) -> str:
    """What the ground contact may say at an instant: a clock time as long as it is relayed before leave-hold
    (without a hold before the IP), then seconds, and after the abort-only moment nothing but the abort words.
    Of a pass that moves with another no change is told, only of that one, until it is flown."""
    pass_, heard = chain.section.written, at + timedelta(seconds=chain.section.event.relay_s)
    seconds_until = workload(chain).seconds_until
    if seconds_until is not None and heard > seconds_until:
        return f"Only the abort words{f': {pass_.abort.words}' if pass_.abort is not None else ''}"
    if leader is not None:
        return (SAY_FLOWN if at >= leader.true_time else SAY_FOLLOWS).format(leader.id)
    if at >= begins(chain) or heard > begins(chain):
        return SAY_SECONDS.format(
            pass_.after_leaving_hold
            if chain.leave_hold is not None and pass_.after_leaving_hold
            else SECONDS_ONLY
        )
    return SAY_TIME


def parties_of(mission: Mission, chain: PassChain) -> tuple[Party, ...]:
    """Every other party, with the T of this pass that they hold. Another T, or none, is not acknowledged. Who
    holds the T of a pass holds with it that of a pass which follows so long after, unless another is
    recorded."""
    event, found = chain.section.event, []
    for i, (party, times) in enumerate(zip(event.written.parties, chain.section.parties, strict=True)):
        held = _held(mission, chain, times.acknowledged)
        agreed, cause = held == chain.true_time, event.key("parties", i)
        contact = named(party.contact)
        found.append(Party(party.who, party.what, times.start, times.until, contact, held, agreed, cause))
    return tuple(found)


def _held(mission: Mission, chain: PassChain, recorded: tuple[datetime, ...]) -> datetime | None:
    """The T of a pass that is held, of those recorded of the passes in turn."""
    section, leader = chain.section, mission.leader_of(chain.section)
    if section.number <= len(recorded):
        return recorded[section.number - 1]
    if section.follows and leader.number <= len(recorded):
        return recorded[leader.number - 1] + (chain.true_time - leader.true_time)
    return None


def check_cue(mission: Mission, chain: PassChain, cues: tuple[Cue, ...]) -> CueCheck | None:
    """Whether the cue at whose end T lies can be heard, relayed and read back before leave-hold; None for an
    explicit time."""
    hangs_on = chain.section.cue_of_t
    cue = next((c for c in cues if c.id == hangs_on), None)
    if cue is None:
        return None
    known_at = cue.at + timedelta(seconds=chain.section.event.relay_s)
    margin_s = (begins(chain) - known_at).total_seconds()
    left = authority(chain, known_at, "cue known")
    nearer_nm = ceil(distance_flown_nm(max(-margin_s, 0.0), chain.run_in.gs_kt) * 10 - 1e-6) / 10
    problem = _problem_nearer(mission, chain, known_at, nearer_nm) if nearer_nm else ""
    still = (left.early_s, left.late_s)
    return CueCheck(cue.id, cue.at, known_at, margin_s, nearer_nm, problem, still, cue.cause)


def _problem_nearer(mission: Mission, chain: PassChain, known_at: datetime, by_nm: float) -> str:
    """What goes wrong with the IP, and the hold with it, so much nearer, when the pass is worked out so.
    Empty where nothing does."""
    if by_nm >= chain.run_in.distance_nm:
        return f"the run-in is {chain.run_in.distance_nm:.1f} nm long"
    moved, found = plan_pass_chain(nearer_pass(mission, chain.section.written, by_nm), chain.section)
    if moved is None:
        return next(d.message for d in found if d.severity == "error")
    if moved.push_trouble is not None:
        return trouble_in_words(moved.push_trouble)
    return "the cue is known too late all the same" if begins(moved) < known_at else ""
