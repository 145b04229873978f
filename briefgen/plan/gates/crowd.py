"""How near the ships come to the spectators."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.records import record
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import DEFAULT, UNIT, Limit, at_least, not_checked
from briefgen.plan.heights.pass_heights import pass_legs
from briefgen.plan.heights.spectators import beside_crowd_nm
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.units.values import FT_PER_NM

CROWD_DEFAULT_FT = 500.0  # the figure of FAA 8900.1 for fly-bys along a show line, which holds under a waiver


@record
class _Nearest:
    away_ft: float
    ship: int
    leg: str


def crowd_distance(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """No ship flies over the spectators, or comes nearer to them to the side than the unit's own distance,
    without one 500 ft, on the run-in and the egress; how high it flies there is the other gates'."""
    own = s.mission.file.limits.crowd_distance
    limit = Limit(CROWD_DEFAULT_FT, DEFAULT) if own is None else Limit(own, UNIT)
    about = text("crowd-distance").but(source=limit.source)
    line = p.section.written.crowd_line
    if line is None:
        yield not_checked(about, "nobody has said where the spectators stand")
        return
    worst = min(_rows(p, line), key=lambda row: row.away_ft)
    who = "" if s.mission.alone else f", ship {worst.ship}"
    over = "under" if worst.away_ft == 0 else "to the side of"
    about = about.but(title=f"Spectators {over} the {worst.leg}{who}")
    yield at_least(about, worst.away_ft, limit.value, worse="CAUTION" if own is None else "FAIL")


def _rows(p: EventPlan, line) -> Iterator[_Nearest]:
    for leg in pass_legs(p.chain):
        for ship in p.ships:
            away_nm = beside_crowd_nm(leg, line, ship.right_ft / FT_PER_NM)
            yield _Nearest(away_nm * FT_PER_NM, ship.ship, leg.kind)
