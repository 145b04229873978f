"""What is flown one after the other, before it has a time: the ways, blocks and passes of a stretch in parts,
with how long each takes and on what fuel; and the phases that they become from an instant on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import long_id
from briefgen.mission.schema.sortie import Ship
from briefgen.mission.schema.training import Training
from briefgen.plan.model import HoldPlan, Leg, LegKind, PassChain, Phase, PhaseKind
from briefgen.plan.model.laid import Block, Stretch
from briefgen.plan.route.air import flow_height_ft
from briefgen.plan.timing.clock import TRAINED, BlockSpan, Chain, Part, intervals_s, later, seconds_of
from briefgen.units.values import Fuel

WAY_FLOWS: Mapping[LegKind, str] = {"departure": "cruise", "transit": "transit", "recovery": "recovery"}


def forward_chain(mission: Mission, stretch: Stretch, setups: Mapping[str, int]) -> Chain:
    """The ways of a stretch and its blocks, each with so many set-ups as ``setups`` has under its id."""
    parts: list[Part] = []
    blocks: dict[str, BlockSpan] = {}
    ends_in = () if stretch.to is None else (stretch.to.chain.section.id,)
    ids = [piece.section.id if isinstance(piece, Block) else "" for piece in stretch.pieces]
    for piece, following in zip(stretch.pieces, (*ids[1:], *ends_in, ""), strict=False):
        if isinstance(piece, Block):
            own, entry_s = tuple(_block_parts(mission, piece, setups[piece.section.id])), seconds_of(parts)
            end_s = entry_s + seconds_of(part for part in own if part.kind in TRAINED)
            out_s = end_s + seconds_of(part for part in own if part.kind == "leave")
            blocks[piece.section.id] = BlockSpan(entry_s, end_s, out_s)
            parts += own
        else:
            parts += _leg_parts(piece.legs, following)
    return Chain(tuple(parts), blocks)


def _leg_parts(legs: Sequence[Leg], to: str = "") -> Iterator[Part]:
    """The legs of a way, a transit's named by the piece that it leads to."""
    for i, leg in enumerate(legs, 1):
        id = long_id(to, f"{leg.kind}-{i}") if leg.kind == "transit" else f"{leg.kind}-{i}"
        flow = WAY_FLOWS[leg.kind]
        name = leg.between
        climb_s = leg.climb.time_s if leg.climb is not None else 0.0
        if leg.climb is not None:
            middle_ft = (leg.start_altitude_ft + leg.altitude_ft) / 2
            yield Part(
                f"{id}-climb",
                "climb",
                f"Climb towards {leg.end.id}",
                climb_s,
                "climb",
                None,
                middle_ft,
                leg,
                leg.cause,
            )
        yield Part(id, leg.kind, name, leg.time_s - climb_s, flow, None, leg.flow_ft, leg, leg.cause)


def _block_parts(mission: Mission, block: Block, setups: int) -> Iterator[Part]:
    """The wait for the last ship, where it is the first block; warm-up, set-ups, leave and rejoin. Of several
    blocks each row names its own."""
    section, training = block.section, block.section.written
    of = f" ({section.id})" if len(mission.blocks) > 1 else ""
    own = block_height_ft(training, mission.file.flight[0])
    height = block.way_in_ft if own is None else own

    def part(
        kind: PhaseKind, label: str, seconds: float, fuel: Fuel | None, key: str, *, number: int | None = None
    ) -> Part:
        flow = "training" if kind in ("warm-up", "set-up") else "cruise"
        id = long_id(section.id, kind if number is None else f"{kind}-{number}")
        cause = (*section.cause, key)
        given_lb = mission.fuel_lb(fuel)
        return Part(id, kind, label + of, seconds, flow, given_lb, height, None, cause, section.id)

    gather_s = intervals_s(mission, mission.file.ground_ops, "takeoff_interval") if block.first else 0.0
    if gather_s > 0.0 and (training.warm_up is not None or setups > 0):
        yield Part(
            long_id(section.id, "gather"),
            "gather",
            f"Until the last ship is in{of}",
            gather_s,
            "cruise",
            altitude_ft=block.way_in_ft,
            cause=("ground_ops", "takeoff_interval"),
            piece=section.id,
        )
    if training.warm_up is not None:
        yield part("warm-up", "Warm-up", training.warm_up.time, training.warm_up.fuel, "warm_up")
    for i in range(1, setups + 1):
        each = training.setups
        yield part("set-up", f"Set-up {i}", each.each, each.fuel_each, "setups", number=i)
    if training.leave is not None:
        leave = training.leave
        yield part("leave", f"Leave by {leave.by}", leave.time, leave.fuel, "leave")
    if training.rejoin is not None:
        rejoin, label = training.rejoin, "Fuel check" if mission.alone else "Rejoin and check"
        at = part("rejoin", label, rejoin.time, rejoin.fuel, "rejoin")
        yield replace(at, altitude_ft=_rejoin_ft(mission, block))


def _rejoin_ft(mission: Mission, block: Block) -> float | None:
    rejoin = block.section.written.rejoin
    if rejoin is None or rejoin.level is None:
        return block.way_in_ft
    return flow_height_ft(mission, block.exit, rejoin.level)


def block_height_ft(training: Training, ship: Ship) -> float | None:
    """Where a ship burns its training fuel: the middle of its side's block. None without one, or where it is
    above ground that isn't known."""
    band = training.blocks.get(ship.side) if ship.side is not None else None
    if band is None or "AGL" in (band.low.datum, band.high.datum):
        return None
    return (band.low.feet + band.high.feet) / 2


# ---------------------------------------------------------------- after the forward chain


def pass_parts(mission: Mission, chain: PassChain, hold: HoldPlan | None) -> Iterator[Part]:
    """Hold, hold to IP, run-in, push-up, egress, in flying order. The leg from the hold to the IP burns at
    the run-in's flow."""
    run_in, push, piece = chain.run_in, chain.push, chain.section.id
    whole_s = (chain.true_time - chain.ip_time).total_seconds()
    before_s = whole_s if push is None else push.after_ip_s

    def flown(kind: PhaseKind, label: str, seconds: float, flow: str, leg: Leg) -> Part:
        id = long_id(piece, "hold-to-ip" if kind == "hold to IP" else kind)
        return Part(id, kind, label, seconds, flow, None, leg.flow_ft, leg, leg.cause, piece)

    if hold is not None:
        label, height = f"Hold at {hold.fix.id}", _hold_ft(mission, chain, hold)
        yield Part(
            long_id(piece, "hold"), "hold", label, hold.wait_s, "hold", None, height, None, hold.cause, piece
        )
    if chain.hold_to_ip is not None:
        leg = chain.hold_to_ip
        yield flown("hold to IP", leg.between, leg.time_s, "run_in", leg)
    yield flown("run-in", f"Run-in from {run_in.start.id}", before_s, "run_in", run_in)
    if push is not None:
        yield flown("push-up", "Push-up", whole_s - before_s, "push_up", run_in)
    if chain.egress is not None:
        yield flown("egress", "Egress", chain.egress.time_s, "recovery", chain.egress)


def _hold_ft(mission: Mission, chain: PassChain, hold: HoldPlan) -> float | None:
    return flow_height_ft(mission, hold.fix, chain.section.written.hold.level)


def home_parts(mission: Mission, legs: Sequence[Leg]) -> Iterator[Part]:
    """The recovery legs and the approach; the climb's own fuel is a row without time."""
    recovery = mission.file.recovery
    parts = list(_leg_parts(legs))
    if recovery is not None and recovery.climb_fuel is not None and parts:
        given = mission.fuel_lb(recovery.climb_fuel)
        yield Part(
            "recovery-climb",
            "recovery",
            "Climb on the way home",
            0.0,
            None,
            given,
            None,
            None,
            ("recovery", "climb_fuel"),
        )
    yield from parts
    if recovery is not None and recovery.approach is not None:
        given = mission.fuel_lb(recovery.approach.fuel)
        yield Part(
            "approach",
            "approach",
            "Approach",
            recovery.approach.time,
            "recovery",
            given,
            None,
            None,
            ("recovery", "approach"),
        )


def phases_from(start: datetime, parts: Iterable[Part]) -> tuple[Phase, ...]:
    """Parts one after the other from an instant on."""
    phases, at_s = [], 0.0
    for p in parts:
        begin, at_s = at_s, at_s + p.seconds
        phases.append(
            Phase(
                p.id,
                p.kind,
                p.label,
                later(start, begin),
                later(start, at_s),
                p.flow,
                p.given_fuel_lb,
                p.altitude_ft,
                p.leg,
                p.cause,
                p.piece,
            )
        )
    return tuple(phases)
