"""If flight and ground contact can't reach each other: radio, backup, telephones, and what the flight does by
itself. Card and clock page say it alike."""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import flown_level
from briefgen.brief.wording.passes import later_passes, next_name, pass_name
from briefgen.brief.wording.spoken import Briefed
from briefgen.brief.wording.words import NOT_GIVEN, NOT_KNOWN, UNREACHABLE, Words, magnetic_or_true
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.sections import GivenUp
from briefgen.mission.schema.event import Contingency, LostContact, NoCue, NoGroundContact
from briefgen.mission.schema.home import Contingencies
from briefgen.mission.schema.sortie import Supervisor
from briefgen.plan.event.back_to_hold import BackToHold, back_to_hold, read_back
from briefgen.plan.event.lost_contact import briefed, hold_end, home_before_leave, lost_contact_at, shared_mhz
from briefgen.plan.event.silence import given_up_from, no_cue_from
from briefgen.plan.gates.contingencies import required
from briefgen.plan.model import EventPlan, HoldPlan
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from briefgen.units.blank import says_nothing
from briefgen.units.values import Frequency

NOT_BRIEFED = "NOT BRIEFED"
SAME = "same as the first"

Rows = list[tuple[str, str]]


def radio_rows(w: Words) -> Rows:
    """Radio and backup of the ground contact; a backup on the frequency of the first is no backup, and says
    so. Empty without a ground contact."""
    ground = w.mission.the_event.ground_contact
    if ground is None:
        return []
    return [("Radio", contact_words(w, ground.primary)), ("Backup", backup_words(w))]


def backup_words(w: Words) -> str:
    """``340.800 MHz``, ``same as the first``, ``not given``."""
    ground = w.mission.the_event.ground_contact
    backup = ground.backup if ground is not None else None
    return contact_words(w, backup) if shared_mhz(w.mission) is None else SAME


def contact_words(w: Words, contact: Frequency | int | None) -> str:
    """``preset 8, 132.650 MHz``, ``340.800 MHz``, ``not given``."""
    if contact is None:
        return NOT_GIVEN
    if isinstance(contact, Frequency):
        return words.frequency(contact)
    preset = next((row for row in w.mission.file.radio if row.preset == contact), None)
    return f"preset {contact}" + (f", {words.frequency(preset.frequency)}" if preset else "")


def supervisor_reach(supervisor: Supervisor) -> tuple[str, ...]:
    """Telephone, then frequency, as far as they are given."""
    return tuple(
        text
        for text in (
            supervisor.phone or "",
            words.frequency(supervisor.frequency) if supervisor.frequency else "",
        )
        if text
    )


def phone_rows(w: Words) -> Rows:
    """The supervisor's telephone and frequency, and the telephone at the event."""
    return [*supervisor_rows(w), *event_phone_rows(w)]


def supervisor_rows(w: Words) -> Rows:
    """How the supervisor is reached; empty without one."""
    supervisor = w.mission.file.sortie.supervisor
    return (
        []
        if supervisor is None
        else [(supervisor.name, "; ".join(supervisor_reach(supervisor)) or NOT_GIVEN)]
    )


def event_phone_rows(w: Words) -> Rows:
    """The telephone that lies beside the ground contact; empty without one."""
    ground = w.mission.the_event.ground_contact
    return [("Phone at the event", ground.phone)] if ground is not None and ground.phone else []


@record
class Briefing:
    """A contingency as it is briefed, ``key`` in the file; without the ground contact of ``passes``, the plan
    as each of those sees it of which this is briefed, and which ``of`` names where others differ."""

    key: str
    given: Contingency
    passes: tuple[Plan, ...] = ()
    of: str = ""

    @property
    def name(self) -> str:
        """``Lost wingman``; ``No ground contact, HILL``."""
        return ", ".join(filter(None, (key_words(self.key), self.of)))


def key_words(key: str) -> str:
    """``Lost wingman`` of the file's ``lost_wingman``."""
    return key.replace("_", " ").capitalize()


def briefings(w: Words) -> tuple[Briefing, ...]:
    """Every contingency, the named ones first."""
    given = dict(w.mission.file.contingencies.given(event=False))
    found = [Briefing(key, answer) for key, answer in given.items()]
    named = sum(key in Contingencies.model_fields for key in given)
    return (*found[:named], *without_contact(w), *found[named:])


def briefed_at(one: Briefing) -> KeyPath:
    """Where a contingency stands in the file."""
    for each in one.passes:
        return briefed(each.mission, each.passes[0].section)[1]
    return ("contingencies", one.key)


def not_briefed(w: Words) -> list[str]:
    """The keys of what a sortie like this has to brief and nobody has said anything of."""
    given = {one.key for one in briefings(w)}
    return [key for key in required(w.plan) if key not in given]


def without_contact(w: Words) -> tuple[Briefing, ...]:
    """What is done without the ground contact, passes with the same in one."""
    alike: list[tuple[NoGroundContact, list[Plan]]] = []
    for each in each_pass(w.plan):
        given, _ = briefed(each.mission, each.passes[0].section)
        own = next((passes for other, passes in alike if other == given), None)
        if own is not None:
            own.append(each)
        elif given is not None:
            alike.append((given, [each]))
    return tuple(
        Briefing(
            "no_ground_contact",
            given,
            tuple(passes),
            ""
            if len(passes) == len(w.plan.passes)
            else words.listed([pass_name(each.passes[0].section) for each in passes]),
        )
        for given, passes in alike
    )


def stay_words(w: Words, briefing: Briefing, *, because: bool = True) -> str:
    """``; home at 03:38:21 Z, no later (slip accepted)``, ``; on to HILL at …``: when a flight that stays in
    the hold unheard leaves it for good, and with ``because`` what ends its stay; of several passes what tells
    it on the side of each. Empty where it doesn't stay or nobody knows, and for another contingency."""
    ends = [end for end in map(hold_end, briefing.passes) if end is not None]
    if not ends:
        return ""
    if len(w.plan.passes) > 1:
        said = {"next pass": f"on at {FROM_HOLD['next pass']}", "go home": f"home at {FROM_HOLD['go home']}"}
        found = [words_ for then, words_ in said.items() if then in {end.then for end in ends}]
        return f"; {words.listed(found, 'or')} of that pass, no later"
    where = "home" if ends[0].then == "go home" else f"on to {next_name(briefing.passes[0])}"
    when = "on reaching the hold" if ends[0].on_arrival else f"at {w.by(ends[0].at)}"
    last = "" if ends[0].on_arrival else ", no later"
    return f"; {where} {when}{last} ({ends[0].short})" if because else f"; {where} {when}"


def does_words(w: Words, briefing: Briefing, action: str) -> str:
    """``GO HOME. Climb to 3000 ft MSL``: what is done in a contingency; without the ground contact its typed
    fact stands first, and last when a stay in the hold ends."""
    then = briefing.given.then if isinstance(briefing.given, NoGroundContact) else None
    fact = f"{_lost_contact(briefing, then)}. " if then is not None else ""
    return f"{fact}{action}{stay_words(w, briefing)}"


def lost_contact_does(w: Words) -> str | None:
    """``HOLD. Stay in the hold until heard or go-home time; home at 03:38:21 Z, no later (slip accepted)
    (Lead)``; without the typed fact the sentence alone; None where nobody has said it."""
    found = without_contact(w)[:1]
    return next(
        (
            f"{does_words(w, briefing, briefing.given.action)} ({briefing.given.who})"
            for briefing in found
            if not says_nothing(briefing.given.action)
        ),
        None,
    )


def lost_contact_in_short(w: Words) -> str | None:
    """``HOLD; home at 03:38:21 Z``: the typed fact alone and what ends it; without it the sentence."""
    found = without_contact(w)[:1]
    return next(
        (
            _lost_contact(briefing, briefing.given.then) + stay_words(w, briefing, because=False)
            if isinstance(briefing.given, NoGroundContact) and briefing.given.then
            else lost_contact_does(w)
            for briefing in found
            if not says_nothing(briefing.given.action)
        ),
        None,
    )


def _lost_contact(briefing: Briefing, then: LostContact) -> str:
    """The typed fact; of several passes with different ones behind them those are not named."""
    if then == "hold":
        return "HOLD"
    if then == "go home":
        return GO_HOME
    return go_on(briefing.passes[0]) if len(briefing.passes) == 1 else "GO ON TO THE NEXT PASS"


GO_HOME, BACK = "GO HOME", "RETURN TO THE HOLD"
FROM_HOLD: dict[GivenUp, str] = {"go home": "HOME FROM HOLD", "next pass": "ON FROM HOLD"}


def go_on(plan: Plan) -> str:
    """``GO ON TO HILL``: the pass behind the one that the plan is seen from."""
    return f"GO ON TO {next_name(plan)}"


def briefed_no_cue(plan: Plan) -> Briefed:
    """What is briefed for a cue not heard of the pass that the plan is seen from, for the words that are
    said."""
    return Briefed(plan.the_pass.section.no_cue, next_name(plan))


def no_cue_words(plan: Plan) -> str:
    """What the flight does when it has left the hold and the cue has not been heard: ``GO HOME``, ``GO ON TO
    HILL``, ``NOT BRIEFED (event.pass.no_cue)``. Never "abort": those words end the pass."""
    words_, given_up = _no_cue(plan, plan.the_pass.section.no_cue), given_up_from(plan)
    if given_up is None:
        return words_
    instead = given_up_words(plan)
    return instead if given_up == no_cue_from(plan) else f"{words_}, later {instead}"


def _no_cue(plan: Plan, no_cue: NoCue | None) -> str:
    if no_cue is None:
        return f"{NOT_BRIEFED} (event.pass.no_cue)"
    if no_cue == "hold":
        return BACK
    return go_on(plan) if no_cue == "next pass" else go_home(plan)


def go_home(plan: Plan) -> str:
    """``GO HOME, not to HILL``: what that leaves out."""
    none = f", not to {words.listed(later_passes(plan), 'or')}" if later_passes(plan) else ""
    return f"{GO_HOME}{none}"


def given_up_words(plan: Plan) -> str:
    """What it does instead of a return to the hold that leads to no T."""
    on = go_on(plan) if plan.the_pass.section.given_up == "next pass" else GO_HOME
    return f"{on}, back in the hold it is too late for any T"


def no_cue_rows(w: Words, p: EventPlan) -> Rows:
    """What the flight does while it hears nothing of its cue: still in the hold, and once it has left it,
    from the second on at which the ground contact's words for it have been read back, when all before came as
    planned."""
    if p.cue_check is None:
        return []
    cue, at = p.cue_check.cue, read_back(p, no_cue_from(w.plan))
    in_hold = [] if p.hold is None else [_no_cue_in_hold(w, cue, p.hold)]
    once = f"by {w.z(at)}" if at is not None else f"once past the {'IP' if p.hold is None else 'hold'}"
    return [*in_hold, (f"No {cue} {once}", _order(w, p, at))]


def _order(w: Words, p: EventPlan, at: datetime | None) -> str:
    """``RETURN TO THE HOLD: left, 221 M, 2000 ft MSL``, with its time once it is GO HOME, or on."""
    back, given_up = back_to_hold(w.mission, p, at), read_back(p, given_up_from(w.plan))
    if back is None or (given_up is not None and given_up == at):
        return no_cue_words(w.plan)
    then = _no_cue(w.plan, p.section.given_up)
    later = f"; from {w.z(given_up)} {then}" if given_up is not None else ""
    return f"{BACK}: {_way_back(w, back)}{later}"


def _no_cue_in_hold(w: Words, cue: str, hold: HoldPlan) -> tuple[str, str]:
    """When a flight still in the hold leaves it without its cue: T stands until it is told otherwise. Where
    it must go home, or on, before that, this counts, and no leave-hold stands beside it."""
    end = home_before_leave(w.plan)
    if end is not None and hold.reached:
        when = "on reaching the hold" if end.on_arrival else w.by(end.at)
        then = GO_HOME if end.then == "go home" else go_on(w.plan)
        return f"No {cue} in the hold", f"{then} {when}, before LEAVE HOLD: T can't be held ({end.short})"
    if not hold.reached:
        return f"No {cue} in the hold", UNREACHABLE
    return f"No {cue} by {w.z(hold.leave)}", "leave unless told HOLD"


def _way_back(w: Words, back: BackToHold) -> str:
    """``left, 221 M, 2000 ft MSL``."""
    turns = back.turns or f"TURN {NOT_GIVEN.upper()}"
    if back.leg is None:
        return f"{turns}, heading {NOT_KNOWN.upper()}"
    heading = magnetic_or_true(back.leg.heading_magnetic_deg, back.leg.heading_true_deg)
    return f"{turns}, {heading}, {flown_level(back.leg.level, back.leg.altitude_ft)}"


def lost_contact_by(w: Words, briefing: Briefing) -> str:
    """``03:27:50 Z``: when a flight that hears nothing acts by itself; of several passes each with its own;
    empty where the file does not say it, and for another contingency."""
    events = [plan.passes[0] for plan in briefing.passes]
    found = [(each, lost_contact_at(w.mission, each)) for each in events]
    many = len(w.plan.passes) > 1
    return ", ".join(
        f"{w.by(at)}{f' ({pass_name(each.section)})' if many else ''}" for each, at in found if at is not None
    )


def lost_contact_words(w: Words) -> str:
    """``heard nothing by 03:27:50 Z: Stay in the hold …``: without a time the trigger's words stand in its
    place; NOT BRIEFED."""
    does, found = lost_contact_does(w), without_contact(w)[:1]
    if does is None:
        return NOT_BRIEFED
    by = lost_contact_by(w, found[0])
    return f"{f'heard nothing by {by}' if by else found[0].given.trigger}: {does}"
