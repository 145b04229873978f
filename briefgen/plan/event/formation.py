"""Each ship of the formation over the centre: where it is from the leader, when, how high."""

from __future__ import annotations

from datetime import timedelta

from briefgen.airmath.formation import NoFormation, behind_s, place_ships
from briefgen.airmath.formation import ShipOffset as Offset
from briefgen.airmath.run_in import state_at, total_s
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.event import RunIn
from briefgen.plan.heights.altimeter import column_at, true_altitude_ft
from briefgen.plan.model import PassChain, ShipOver


def offsets_of(mission: Mission, run_in: RunIn) -> tuple[Offset, ...]:
    """Offsets of every ship, in ft; the leader's are zero. Offsets per ship win over a named formation; a
    formation without a spacing, or with too few places, leaves the leader alone."""
    numbers = tuple(ship.ship for ship in mission.file.flight)
    if run_in.offsets:
        given = {o.ship: Offset(o.ship, o.right, o.back, o.down) for o in run_in.offsets}
        return tuple(given.get(n, Offset(n, 0.0, 0.0, 0.0)) for n in numbers)
    if run_in.formation is None or run_in.spacing is None:
        return (Offset(numbers[0], 0.0, 0.0, 0.0),)
    placed = place_ships(
        run_in.formation, numbers, spacing_ft=run_in.spacing, step_down_ft=run_in.step_down or 0.0
    )
    return (Offset(numbers[0], 0.0, 0.0, 0.0),) if isinstance(placed, NoFormation) else placed


def ships_over(mission: Mission, chain: PassChain) -> tuple[ShipOver, ...]:
    """Each ship whose place is known: when it is over the centre, what its altimeter reads there, and how
    high it then is."""
    over_kt = state_at(chain.inbound, total_s(chain.inbound)).speed_kt
    run_in = chain.section.written.run_in
    name = run_in.formation or "as given"
    column = column_at(mission, chain.run_in.end)
    return tuple(
        ShipOver(
            ship=o.ship,
            position=name if i else "leader",
            right_ft=o.right_ft,
            back_ft=o.back_ft,
            down_ft=o.down_ft,
            at=chain.true_time + timedelta(seconds=behind_s(o.back_ft, over_kt)),
            altitude_ft=chain.run_in.altitude_ft - o.down_ft,
            true_altitude_ft=true_altitude_ft(column, chain.run_in.altitude_ft - o.down_ft),
        )
        for i, o in enumerate(offsets_of(mission, run_in))
    )
