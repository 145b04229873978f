"""If flight and ground contact can't reach each other: radio, backup, telephones, and what the flight does by
itself. Card and clock page say it alike."""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import flown_level
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.words import NOT_GIVEN, NOT_KNOWN, UNREACHABLE, Words, magnetic_or_true
from briefgen.core.records import record
from briefgen.mission.schema.event import Contingency, NoGroundContact
from briefgen.mission.schema.home import Contingencies
from briefgen.mission.schema.sortie import Supervisor
from briefgen.plan.event.back_to_hold import BackToHold, back_to_hold, read_back
from briefgen.plan.event.lost_contact import briefed, hold_end, home_before_leave, lost_contact_at, shared_mhz
from briefgen.plan.event.silence import home_from, no_cue_from
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


_LOST_CONTACT = {"hold": "HOLD", "go home": "GO HOME"}


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
    """``; home at 03:38:21 Z, no later (slip accepted)``: when a flight that stays in the hold unheard goes
    home, and with ``because`` what ends its stay; of several passes what tells it on the side of each. Empty
    where it doesn't stay or nobody knows, and for another contingency."""
    ends = [end for end in map(hold_end, briefing.passes) if end is not None]
    if not ends:
        return ""
    if len(w.plan.passes) > 1:
        return "; home at HOME FROM HOLD of that pass, no later"
    when = "on reaching the hold" if ends[0].on_arrival else f"at {w.by(ends[0].at)}"
    last = "" if ends[0].on_arrival else ", no later"
    return f"; home {when}{last} ({ends[0].short})" if because else f"; home {when}"


def does_words(w: Words, briefing: Briefing, action: str) -> str:
    """``GO HOME. Climb to 3000 ft MSL``: what is done in a contingency; without the ground contact its typed
    fact stands first, and last when a stay in the hold ends."""
    then = briefing.given.then if isinstance(briefing.given, NoGroundContact) else None
    fact = f"{_LOST_CONTACT[then]}. " if then is not None else ""
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
            _LOST_CONTACT[briefing.given.then] + stay_words(w, briefing, because=False)
            if isinstance(briefing.given, NoGroundContact) and briefing.given.then
            else lost_contact_does(w)
            for briefing in found
            if not says_nothing(briefing.given.action)
        ),
        None,
    )


_NO_CUE = {
    "hold": "RETURN TO THE HOLD",
    "go home": "GO HOME",
    None: f"{NOT_BRIEFED} (event.pass.no_cue)",
}


def later_passes(plan: Plan) -> list[str]:
    """By name, those after the pass that the plan is seen from: who goes home flies none of them."""
    place = plan.the_pass.section.place
    return [pass_name(to.chain.section) for to in plan.route.passes if to.chain.section.place > place]


def no_cue_words(plan: Plan) -> str:
    """What the flight does when it has left the hold and the cue has not been heard: ``GO HOME``, ``NOT
    BRIEFED (event.pass.no_cue)``. Never "abort": those words end the pass and send the flight home."""
    words_, home = _NO_CUE[plan.mission.the_event.pass_.no_cue], home_from(plan)
    if plan.mission.the_event.pass_.no_cue == "go home" and later_passes(plan):
        words_ = f"{words_}, not to {words.listed(later_passes(plan), 'or')}"
    if home is None:
        return words_
    return home_words() if home == no_cue_from(plan) else f"{words_}, later {home_words()}"


def home_words() -> str:
    """What it does instead of a return to the hold that leads to no T."""
    return f"{_NO_CUE['go home']}, back in the hold it is too late for any T"


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
    """``RETURN TO THE HOLD: left, 221 M, 2000 ft MSL``, with its time once it is GO HOME."""
    back, home = back_to_hold(w.mission, p, at), read_back(p, home_from(w.plan))
    if back is None or (home is not None and home == at):
        return no_cue_words(w.plan)
    none = f", not to {words.listed(later_passes(w.plan), 'or')}" if later_passes(w.plan) else ""
    later = f"; from {w.z(home)} {_NO_CUE['go home']}{none}" if home is not None else ""
    return f"{_NO_CUE['hold']}: {_way_back(w, back)}{later}"


def _no_cue_in_hold(w: Words, cue: str, hold: HoldPlan) -> tuple[str, str]:
    """When a flight still in the hold leaves it without its cue: T stands until it is told otherwise. Where
    it must go home before that, this counts, and no leave-hold stands beside it."""
    home = home_before_leave(w.plan)
    if home is not None and hold.reached:
        when = "on reaching the hold" if home.on_arrival else w.by(home.at)
        said = f"GO HOME {when}, before LEAVE HOLD: T can't be held ({home.short})"
        return f"No {cue} in the hold", said
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
