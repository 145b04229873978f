"""What is done when something goes wrong: briefed, complete, and begun in time."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.schema.event import Contingency, NoGroundContact
from briefgen.mission.schema.limits import NoNotices
from briefgen.plan.event.lost_contact import briefed
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    AFTER_THE_SORTIE,
    DEFAULT,
    PASS,
    UNIT,
    About,
    elevation_of,
    if_named,
    not_after,
    not_checked,
    words,
)
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import says_nothing

ABORT = (*PASS, "abort")
NOTICES_AGE_DAYS = 3  # our default, no authority: notices change by the day

UNSAID = {
    "lost_wingman": "when a wingman loses sight",
    "lost_communications": "without radio",
    "knock_it_off": "when somebody calls knock-it-off",
    "inadvertent_cloud": "in cloud entered by mistake",
    "no_ground_contact": "without ground contact",
}
# key of the file -> as people say
PARTS = {
    "trigger": "trigger",
    "who": "who",
    "action": "action",
    "words": "words",
    "said_by": "who",
}


def unsaid_parts(given: Contingency) -> list[str]:
    """The parts of an answer that only keep their place."""
    return [part for part in ("trigger", "who", "action") if says_nothing(getattr(given, part))]


def required(s: Sortie) -> Iterator[str]:
    """The key of every contingency that this sortie has to have briefed."""
    several = len(s.mission.file.flight) > 1
    if several:
        yield "lost_wingman"
    yield "lost_communications"
    if several or s.mission.file.training is not None:
        yield "knock_it_off"
    if s.passes:
        yield "inadvertent_cloud"
        yield "no_ground_contact"


def contingencies(s: Sortie) -> Iterator[Gate]:
    """Each required contingency says who does what on which trigger; a word that only keeps the place is no
    answer."""
    for key in required(s):
        cause = ("contingencies", key)
        about = text(f"contingency-{key.replace('_', '-')}").but(cause=cause)
        if key == "no_ground_contact":
            yield _without_ground_contact(s, about)
            continue
        given = getattr(s.mission.file.contingencies, key)
        if given is None:
            yield not_checked(about, f"nobody has said what to do {UNSAID[key]}: who does what, and when")
            continue
        yield _said(about, unsaid_parts(given))


def _said(about: About, empty: list[str]) -> Gate:
    found = f"{PARTS[empty[0]]} says nothing" if empty else "trigger, who and action"
    return words(about, not empty, found, "trigger, who and action")


def _without_ground_contact(s: Sortie, about: About) -> Gate:
    """Of each pass, as briefed of it alone or of the sortie."""
    each = [(p, *briefed(s.mission, p.section)) for p in s.passes]
    unsaid = {key: why for p, given, cause in each for why, key in _unsaid(p, given, cause)}
    if unsaid:
        key, *also = unsaid
        return not_checked(about, unsaid[key], key=key, also=tuple(also))
    return _said(about, [part for _, given, _ in each if given for part in unsaid_parts(given)])


def _unsaid(p: EventPlan, given: NoGroundContact | None, cause: KeyPath) -> Iterator[tuple[str, KeyPath]]:
    """What nobody has said of a flight that hears nothing, and the key that says it; there is no default of
    any of them."""
    if given is None:
        why = f"nobody has said what to do {UNSAID['no_ground_contact']}: who does what, and when"
        yield why, cause
    if p.hold is not None and (given is None or given.after is None):
        yield "nobody has said how long before leave-hold the flight acts by itself", (*cause, "after")
    if given is None or given.then is None:
        yield "nobody has said whether the flight stays, goes home or goes on without it", (*cause, "then")
    written = p.section.written
    if p.cue_check is None:
        return
    if p.section.no_cue is None:
        yield "nobody has said what the flight does if it never hears its cue", p.section.key("no_cue")
    if p.section.no_cue == "hold" and written.return_turn is None:
        yield "nobody has said which way the flight turns back to its hold", p.section.key("return_turn")


def fall_outs(s: Sortie) -> Iterator[Gate]:
    """It is said for every ship what becomes of the flight without it, and who leads without ship 1."""
    flight = s.mission.file.flight
    if len(flight) < 2:
        return
    given = s.mission.file.contingencies.fall_outs
    about = text("fall-outs")
    missing = [ship.ship for ship in flight if ship.ship not in given]
    if not given:
        yield not_checked(about, "nobody has said what becomes of the flight without one of its ships")
    elif 1 not in given or given[1].leads is None:
        why, key = "nobody has said who leads when ship 1 has fallen out", (*about.cause, "1", "leads")
        yield not_checked(about, why, key=key)
    else:
        yield words(
            about,
            not missing,
            f"ship {missing[0]} is missing" if missing else "every ship",
            "every ship",
            worse="CAUTION",
        )


def divert_given(s: Sortie) -> Iterator[Gate]:
    """There is somewhere else to land."""
    recovery = s.mission.file.recovery
    about = text("divert-given")
    places = (
        []
        if recovery is None
        else [*recovery.diverts, *([recovery.alternate.place] if recovery.alternate is not None else [])]
    )
    yield (
        words(about, True, ", ".join(dict.fromkeys(places)), "at least one")
        if places
        else not_checked(about, "neither a divert nor an alternate is given")
    )


# ---------------------------------------------------------------- abort


ABORT_PARTS = {
    "words": "with which words the pass is stopped",
    "said_by": "who may call the abort",
    "action": "what is flown after the abort",
}


def abort_briefed(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The words that stop the pass, who may say them, what the flight does then."""
    abort = p.section.written.abort
    about = text("abort-briefed")
    missing = [key for key in ("words", "said_by", "action") if getattr(abort, key, None) is None]
    if abort is None or missing:
        why = "no abort is given" if abort is None else f"nobody has said {ABORT_PARTS[missing[0]]}"
        yield not_checked(about, why, key=ABORT if abort is None else (*ABORT, missing[0]))
        return
    empty = [key for key in ("words", "said_by", "action") if says_nothing(getattr(abort, key))]
    yield words(
        about,
        not empty,
        f"{PARTS[empty[0]]} says nothing" if empty else "words, who, action",
        "words, who, action",
    )


def abort_clear(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """An abort begun at the last moment for one is at its level before the first end of the crowd line is
    abeam. One begun sooner on the run-in, from its level or higher, is there sooner; what stands under all of
    them is judged by "height-abort", the cloud over them by "abort-cloud"."""
    abort, crowd = p.abort, p.crowd
    about = text("abort-clear")
    doubt = _abort_doubt(s, p)
    if doubt is not None:
        why, key = doubt
        yield not_checked(about, why, key=key)
    else:
        yield not_after(about, abort.level_by, crowd.first_abeam)


def _abort_doubt(s: Sortie, p: EventPlan) -> tuple[str, KeyPath] | None:
    """What is missing, and the key of the file that says it."""
    abort, centre = p.abort, p.centre
    if abort is None:
        return "no abort is given", ABORT
    if abort.last_begin is None:
        return "nobody has said from when on nothing but ABORT is said", (*PASS, "abort_only_after")
    if abort.altitude_ft is None and p.section.written.abort.level is not None:
        return (
            "the abort's level is above the ground, and the elevation under the pass isn't given",
            elevation_of(centre.id),
        )
    if abort.altitude_ft is None:
        return "the abort's level isn't given", (*ABORT, "level")
    if abort.level_by is None:
        return (
            "nobody has said how fast the flight may climb: how long the abort's climb takes isn't known",
            ("limits", "formation_climb_rate"),
        )
    return ("no crowd line is given", (*PASS, "crowd_line")) if p.crowd is None else None


def notices_read(s: Sortie) -> Iterator[Gate]:
    """The notices that were read, or who has looked and found none, and how long before the sortie; whether
    they are all is for people to say."""
    given, about = s.mission.file.notices, text("notices")
    readings = [given.read] if isinstance(given, NoNotices) else [notice.read for notice in given]
    unread = [notice.reference for notice in s.mission.file.listed_notices if notice.read is None]
    days = [(s.mission.date - read).days for read in readings if read is not None]
    if not readings:
        yield not_checked(about, "no notices are listed, and nobody says that there are none")
    elif unread:
        yield words(about, False, f"{unread[0]} has no date of reading", "all read", worse="CAUTION")
    elif min(days) < 0:
        yield not_checked(about, AFTER_THE_SORTIE)
    else:
        found = f"{len(readings)} read"
        if isinstance(given, NoNotices):
            found = f"none in force, read by {given.read_by} on {given.read.isoformat()}"
        aged = about.but(source=UNIT.also(f"{NOTICES_AGE_DAYS} days: {DEFAULT.words}", *DEFAULT.basis))
        said = f"{found}, {max(days)} day{'' if max(days) == 1 else 's'} before"
        fresh = max(days) <= NOTICES_AGE_DAYS
        gate = words(aged, fresh, said, f"at most {NOTICES_AGE_DAYS} days before", worse="CAUTION")
        reader = given.read_by if isinstance(given, NoNotices) else None
        yield if_named(aged, gate, reader, ("notices", "read_by"))
