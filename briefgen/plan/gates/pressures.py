"""The pressures of the forecast against each other: an altimeter set to a wrong one brings every height with
it."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.mission.check.pressures import pressures_apart
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import somebodys
from briefgen.plan.gates.verdicts import at_most, words
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie


def pressures_agree(s: Sortie) -> Iterator[Gate]:
    """No QNH is unlike its neighbours'; the oddest is named. One alone has nothing to agree with."""
    found = {id: (s.mission.places[id].position, hpa) for id, hpa in s.mission.qnh_hpa.items()}
    about = text("qnh-agrees")
    if len(found) < 2:
        return
    apart = next(pressures_apart(found), None)
    if apart is None:
        agree = words(about.but(unit=""), True, "as near as weather is", "as near as weather is")
        yield somebodys(s, agree)
        return
    about = about.but(
        title=(
            f"{about.title}: {apart.odd_hpa:.1f} hPa at {apart.odd}, {apart.other_hpa:.1f} hPa at"
            f" {apart.other}, {apart.away_nm:.0f} nm away"
        ),
        cause=("weather", "at", apart.odd, "qnh"),
    )
    yield at_most(about, abs(apart.odd_hpa - apart.other_hpa), apart.most_hpa, worse="CAUTION")
