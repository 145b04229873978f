"""What people have looked up because the program can't: it reads as checked by hand, by whom, when and in
what, and never as worked out here."""

from __future__ import annotations

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.schema.event import CheckedByHand
from briefgen.plan.gates.verdicts import AFTER_THE_SORTIE, DEFAULT, About, at_least, not_checked, words
from briefgen.plan.model import Gate, Source
from briefgen.plan.sortie import Sortie

LEAST_FT = 500.0
AGE_DAYS = 28.0


def checked_by_hand(s: Sortie, about: About, checked: CheckedByHand, cause: KeyPath) -> Gate:
    """The least height that was found: on the ground a FAIL, below 500 ft or looked up more than 28 days
    before the sortie a CAUTION."""
    who = f"checked by hand by {checked.by} on {checked.date.isoformat()}"
    source = Source(
        f"{who} from {checked.source}; {LEAST_FT:.0f} ft and {AGE_DAYS:.0f} days: {DEFAULT.words}",
        DEFAULT.basis,
    )
    about = about.but(
        title=f"{about.title}: {who}",
        unit="ft",
        source=source,
        cause=cause,
        remedy="fly it higher, or another way",
    )
    age_days = (s.mission.date - checked.date).days
    if age_days < 0:
        return not_checked(about, AFTER_THE_SORTIE, key=cause)
    if checked.lowest >= LEAST_FT and age_days > AGE_DAYS:
        late = about.but(unit="", remedy="look again, and write the new date")
        return words(
            late,
            False,
            f"{checked.lowest:.0f} ft, {age_days} days before the sortie",
            f"at most {AGE_DAYS:.0f} days before",
            worse="CAUTION",
        )
    return at_least(about, checked.lowest, LEAST_FT, worse="FAIL" if checked.lowest <= 0 else "CAUTION")
