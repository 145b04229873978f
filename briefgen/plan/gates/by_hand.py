"""What people have looked up because the program can't: it reads as checked by hand, by whom, when and in
what, and never as worked out here."""

from __future__ import annotations

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.schema.event import CheckedByHand
from briefgen.plan.gates.verdicts import (
    AFTER_THE_SORTIE,
    DEFAULT,
    About,
    Limit,
    at_least,
    not_checked,
    too_low,
    words,
)
from briefgen.plan.model import Gate, Source
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import names_nothing

AGE_DAYS = 28.0
NOBODY_SAYS = "nobody says who has looked it up, and in what"


def checked_by_hand(s: Sortie, about: About, checked: CheckedByHand, *, limit: Limit, cause: KeyPath) -> Gate:
    """The least height that was found against the one that holds over what is listed there. Looked up more
    than 28 days before the sortie: a CAUTION."""
    who = f"checked by hand by {checked.by} on {checked.date.isoformat()}"
    whose = limit.source.beside(f"{AGE_DAYS:.0f} days", DEFAULT)
    about = about.but(
        title=f"{about.title}: {who}",
        unit="ft",
        source=Source(f"{who} from {checked.source}; {whose.words}", whose.basis),
        cause=cause,
        remedy="fly it higher, or another way",
    )
    if unsaid := [key for key in ("by", "source") if names_nothing(getattr(checked, key))]:
        return not_checked(about, NOBODY_SAYS, key=(*cause, unsaid[0]))
    age_days = (s.mission.date - checked.date).days
    if age_days < 0:
        return not_checked(about, AFTER_THE_SORTIE, key=cause)
    if checked.lowest >= limit.value and age_days > AGE_DAYS:
        late = about.but(unit="", source=DEFAULT, remedy="look again, and write the new date")
        return words(
            late,
            False,
            f"{checked.lowest:.0f} ft, {age_days} days before the sortie",
            f"at most {AGE_DAYS:.0f} days before",
            worse="CAUTION",
        )
    return at_least(about, checked.lowest, limit.value, worse=too_low(limit, checked.lowest))
