"""The what-ifs of a kneeboard card, where it has the room: in the fewest words that can be read in the air.

The figures are those of the what-ifs that the slide tells in full; nothing is worked out here.
"""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.model import Run
from briefgen.brief.wording import format as words
from briefgen.brief.wording.whatif import IMPOSSIBLE
from briefgen.brief.wording.words import NONE, NOT_CHECKED, UNREACHABLE, Words
from briefgen.plan.sortie import Sortie
from briefgen.whatif.answers import Answer, WhatIf
from briefgen.whatif.outcome import SortieOutcome

# in the order on the card; lead-out stands for the leader's number
BEFORE = ("takeoff-late-600", "takeoff-late-1200", "takeoff-late-1800", "lead-out")
AIRBORNE = ("joker-early", "slower", "low-cloud", "no-contact")
FEW = ("takeoff-late-1200", "low-cloud", "no-contact")  # what stays on a side that is too full

_SHORT = {
    "hold-maximum": "hold too long",
    "area-entry": "area not open yet",
    "area-exit": "area closed",
    "joker": "below joker",
    "way-home-fuel": "no fuel to go home",
    "landing-fuel": "landing fuel",
    "landing-emergency": "below emergency",
    "hold-fuel": "no fuel for the slip",
    "alternate-fuel": "no fuel for the alternate",
    "minimum-ships": "too few ships",
    "permission-from": "no permission yet",
    "permission-until": "permission over",
    "daylight-takeoff": "dark at take-off",
    "daylight-pass": "dark at the pass",
    "daylight-landing": "dark at landing",
    "base-open": "base closed",
    "duty-period": "duty time over",
    "fuel-order": "fuel figures",
}
_AFTER_A_HOLD = {"hold-maximum": "too long"}  # behind the length of the hold itself
_SAID_OTHERWISE = ("t-reachable", "hold-minimum", "set-ups")


def what_ifs(w: Words, found: WhatIf | None, *, few: bool = False) -> Run | None:
    """Take-off late and the leader out, then joker early, slower than planned, low cloud, no ground contact,
    each with how it lands; ``few``: those that matter most. None where there is nothing to say."""
    if found is None:
        return None
    shown = _wanted(found, FEW if few else (*BEFORE, *AIRBORNE))
    items = tuple((f"{_change(answer)}:", _then_lands(w, found, answer)) for answer in shown)
    return Run("WHAT IF", items, told=True) if items else None


def _then_lands(w: Words, found: WhatIf, answer: Answer) -> str:
    lands = _lands(w, answer)
    return ", ".join(_then(w, found, answer)) + (f"; lands {lands}" if lands else "")


def _wanted(found: WhatIf, ids: tuple[str, ...]) -> list[Answer]:
    if _nothing_to_cost(found.base):
        return []
    lead = f"ships-out-{found.before.ships[0]}"
    by_id = {"lead-out" if answer.id == lead else answer.id: answer for answer in found.answers}
    # of several blocks the first is trained in on this side
    first = next((answer for answer in found.answers if answer.kind == "joker-early"), None)
    by_id |= {} if first is None else {"joker-early": first}
    return [by_id[id] for id in ids if id in by_id]


def _nothing_to_cost(base: Sortie) -> bool:
    """No pass, no fuel and no reservation: there is no T, joker or end of the area that a change could take
    anything from."""
    return not base.passes and base.fuel is None and base.mission.times.reserved is None


def _change(answer: Answer) -> str:
    match answer.kind:
        case "takeoff-late":
            return f"{words.duration(answer.seconds)} late"
        case "ships-out":
            return f"Ship {answer.ships[0]} out"
        case "slower":
            return f"{words.knots(answer.kt)} slower"
    if answer.piece:
        return f"Joker early, {answer.piece}"
    return {"joker-early": "Joker early", "low-cloud": "Low cloud", "no-contact": "No contact"}[answer.kind]


def _then(w: Words, found: WhatIf, answer: Answer) -> Iterator[str]:
    after = answer.after
    if after is None:
        yield NOT_CHECKED if answer.unknown else IMPOSSIBLE.upper()
        return
    if answer.until is not None:
        at = f"{w.column(answer.until) if answer.kind == 'low-cloud' else w.by_column(answer.until)} Z"
        yield f"hold to {at} ({answer.stays})" if answer.stays else f"home at {at}"
    after_hold = answer.kind == "joker-early" and after.hold_s is not None
    short = {**_SHORT, **_AFTER_A_HOLD} if after_hold else _SHORT
    worse = [
        short.get(gate.rule, gate.title).upper()
        for gate in answer.failing
        if gate.rule not in _SAID_OTHERWISE
    ]
    if answer.kind == "ships-out":
        yield from _flight(found, answer, after)
    elif after_hold:
        yield f"hold {_length(after.hold_s)}"
    elif after.setups is not None and answer.until is None:
        yield from _setups(found.base, after)
    if answer.time_kept is False:
        yield "HOLD TOO SHORT" if answer.hold_short else "T LOST"
    elif answer.time_kept and not worse:
        yield "T by speed" if answer.by_speed else "T kept"
    yield from worse


def _setups(base: Sortie, after: SortieOutcome) -> Iterator[str]:
    """Of the first block; of each later one where it has another number than planned."""
    for place, block in enumerate(base.trainings):
        count = after.later_setups.get(block.id) if place else after.setups
        if count is not None and (not place or count != block.setups_flown):
            named = f"{block.id} " if len(base.trainings) > 1 else ""
            few = ", too few" if count < block.setups_minimum else ""
            yield f"{named}{words.counted(count, 'set-up')}{few}"


def _length(hold_s: float | None) -> str:
    return NOT_CHECKED if hold_s is None else words.duration(hold_s) if hold_s >= 0 else UNREACHABLE


def _flight(found: WhatIf, answer: Answer, after: SortieOutcome) -> Iterator[str]:
    if after.ships[0] != found.before.ships[0]:
        known = "NOT CHECKED" if after.may_lead is None else "NO"
        yield f"{after.ships[0]} leads" if after.may_lead else f"{after.ships[0]} first, may lead: {known}"
    if answer.pass_off:
        yield "PASS OFF"
    elif after.formation is not None and len(after.ships) > 1 and not answer.failing:
        yield after.formation


def _lands(w: Words, answer: Answer) -> str:
    after = answer.after
    if after is None:
        return ""
    if after.lowest_landing is None:
        return NOT_CHECKED
    left = NONE if after.lowest_landing < 0 else words.fuel_number(after.lowest_landing)
    return left if w.mission.alone else f"{left} (ship {after.lowest_ship})"
