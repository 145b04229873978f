"""The event and its pass."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import TOffset

_PASS: KeyPath = ("event", "pass")
_RUN_IN: KeyPath = (*_PASS, "run_in")
FASTER_KT = 60.0  # of an example of a push-up


def pass_speeds_in_order(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """minimum_speed <= speed <= push_up_to."""
    flypast = given(file, "event", "pass_")
    rows = [((*_RUN_IN, key), given(flypast, "run_in", key)) for key in ("minimum_speed", "speed")]
    rows += [((*_PASS, "push_up_to"), given(flypast, "push_up_to"))]
    speeds = [(path, speed) for path, speed in rows if speed is not None]
    for (low_path, low), (high_path, high) in pairwise(speeds):
        if low.value > high.value:
            related = ((f"`{low_path[-1]}`", low_path),)
            yield check.error(
                "order",
                high_path,
                f"`{high_path[-1]}` is below `{low_path[-1]}`",
                why="the pass cannot be timed between them",
                help="check the two speeds",
                related=related,
            )


def bias_can_be_made_up(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A late bias needs a speed and an acceleration to make it up with."""
    if file.event is None or not file.event.pass_.late_bias:
        return
    run_in, gains = (
        file.event.pass_.run_in,
        "acceleration" if len(file.flight) == 1 else "formation_acceleration",
    )
    faster = f"{run_in.speed.value + FASTER_KT:g} KGS"
    needed = (
        ("push_up_to", _PASS, file.event.pass_.push_up_to, faster),
        (gains, _RUN_IN, run_in.faster_kt_s, "2 kt/s"),
    )
    for key, around, value, example in needed:
        if value is None:
            message, why = (
                f"there is a `late_bias`, but no `{key}` to make it up with",
                "the flight would be late by it",
            )
            help = f"add `{key}` to `{'.'.join(map(str, around))}`, for example `{key}: {example}`"
            yield check.error("bias", (*_PASS, "late_bias"), message, why=why, help=help)


def wingmen_are_asked(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A formation changes its speed as its wingmen can follow: what one ship alone does is no figure of
    it."""
    run_in = given(file, "event", "pass_", "run_in")
    for key in ("acceleration", "deceleration") if len(file.flight) > 1 else ():
        if given(run_in, key) is not None:
            message, why = (
                f"`{key}` is of one ship, and {len(file.flight)} fly",
                "the wingmen must be able to follow",
            )
            yield check.at_key(
                "one-ship", (*_RUN_IN, key), message, why=why, help=f"write `formation_{key}` in its place"
            )


def slowing_is_given(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Whoever gives how fast the flight accelerates gives how fast it slows: else the one stands for both."""
    run_in = given(file, "event", "pass_", "run_in")
    for way in ("", "formation_"):
        key, other = f"{way}acceleration", f"{way}deceleration"
        if given(run_in, key) is not None and getattr(run_in, other) is None:  # a misspelt one is UNREAD
            why = "how late the flight can still be made by speed hangs on it (default, no authority)"
            help = f"add `{other}` beside it, as high only if the flight slows as well as it accelerates"
            message = f"there is no `{other}`: it is taken as high as `{key}`"
            yield check.at_key("one-way", (*_RUN_IN, key), message, why=why, help=help, severity="caution")


def points_of_the_pass_differ(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Hold fix, initial point and the spot overhead are three spots."""
    if file.event is None:
        return
    flypast = file.event.pass_
    ids = [
        ((*_PASS, "hold", "at"), given(flypast, "hold", "at")),
        ((*_RUN_IN, "from"), given(flypast, "run_in", "from_")),
    ]
    ids += [((*_PASS, "over"), given(flypast, "over"))]
    known = [(path, id, spot) for path, id in ids if (spot := given(file.places.get(id), "position"))]
    for (path, id, here), (other_path, other, there) in pairwise(known):
        if here == there:
            yield check.error(
                "same-place",
                path,
                f"{id} and {other} are one spot",
                why="the leg between them has no course",
                help="mend one of the two positions, or name another place",
                related=((other, other_path),),
            )


def crowd_line_is_a_line(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The ends of the crowd line are two spots."""
    line = given(file, "event", "pass_", "crowd_line")
    if line and line.from_ == line.to:
        yield check.error(
            "same-place",
            (*_PASS, "crowd_line", "to"),
            "the crowd line has no length",
            why="when it is passed could not be told",
            help="give its two ends",
            related=(("its other end", (*_PASS, "crowd_line", "from")),),
        )


def formation_is_said_once(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A named formation or offsets, each ship once, the leader at the origin."""
    run_in = file.event.pass_.run_in if file.event else None
    if run_in is None or not run_in.offsets:
        return
    if run_in.formation:
        related = (("the named formation", (*_RUN_IN, "formation")),)
        message, why = "both a formation and offsets are given", "they may say different things"
        yield check.error(
            "formation", (*_RUN_IN, "offsets"), message, why=why, help="keep one of the two", related=related
        )
    first: dict[int, int] = {}
    for i, offset in enumerate(run_in.offsets):
        path = (*_RUN_IN, "offsets", i, "ship")
        if offset.ship in first:
            related = (("the first stands here", (*_RUN_IN, "offsets", first[offset.ship], "ship")),)
            message, why = f"ship {offset.ship} has two offsets", "it can't fly in two places"
            yield check.error(
                "duplicate-ship", path, message, why=why, help="delete one of the two", related=related
            )
        elif offset.ship == 1 and (offset.right or offset.back or offset.down):
            yield check.error(
                "formation",
                path,
                "offsets are counted from ship 1",
                why="ship 1 is overhead at the time over target",
                help="give ship 1 none",
            )
        first.setdefault(offset.ship, i)


def hold_times_in_order(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """minimum <= planned <= maximum; told once, with the two that may be swapped."""
    hold, path = given(file, "event", "pass_", "hold"), (*_PASS, "hold")
    keys = ("minimum", "planned", "maximum")
    times = {key: seconds for key in keys if (seconds := given(hold, key)) is not None}
    pairs = [pair for pair in combinations(times, 2) if times[pair[0]] > times[pair[1]]]
    if not pairs:
        return
    swaps = [pair for pair in pairs if [*_swapped(times, pair).values()] == sorted(times.values())]
    low, high = (swaps or pairs)[0]
    line = ", ".join(f"{key}: {_written(times[other])}" for key, other in ((low, high), (high, low)))
    yield check.error(
        "order",
        (*path, high),
        f"`{high}` is below `{low}`",
        why="the hold cannot keep to both",
        help=f"swapped? write {line}" if swaps else "check the times of the hold",
        related=((f"`{low}`", (*path, low)),),
    )


def _swapped(times: dict[str, float], pair: tuple[str, str]) -> dict[str, float]:
    one, other = pair
    return {**times, one: times[other], other: times[one]}


def _written(seconds: float) -> str:
    return f"{seconds:g} s" if seconds % 60 else f"{seconds / 60:g} min"


def hold_has_a_leg(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The outbound leg of the hold is not zero."""
    if given(file, "event", "pass_", "hold", "leg") == 0:
        yield check.error(
            "zero",
            (*_PASS, "hold", "leg"),
            "an outbound leg of no length",
            why="the laps of the hold are chosen by it",
            help="for example 60 s",
        )


def deadband_leaves_calls(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The dead-band lies inside the tolerance, and inside the accepted slip: what lies below it is never told
    to the flight."""
    pass_ = given(file, "event", "pass_")
    band_s, tolerance_s = given(pass_, "deadband"), given(pass_, "tolerance")
    slip, path = given(file, "event", "accept_slip"), (*_PASS, "deadband")
    most_s = max(given(slip, "early") or 0.0, given(slip, "late") or 0.0)
    if band_s is not None and 0.0 < most_s < band_s:
        yield check.error(
            "deadband",
            path,
            "`deadband` is larger than all of the accepted slip",
            why="a slip below the dead-band gets no call, so none that is accepted would ever be told",
            help=f"write at most the tolerance{'' if tolerance_s is None else f', {tolerance_s:g} s'}",
            related=(("`accept_slip`", ("event", "accept_slip")),),
        )
    elif band_s is not None and tolerance_s is not None and band_s > tolerance_s:
        yield check.caution(
            "deadband",
            path,
            "`deadband` is larger than `tolerance`",
            why="a slip between them gets no call, and the flight is over the centre outside the tolerance",
            help=f"write at most {tolerance_s:g} s",
        )


def abort_before_overhead(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """abort_only_after lies before T."""
    after = file.event.pass_.abort_only_after if file.event else None
    if after is not None and after.seconds >= 0:
        help = "for example T-30 s"
        yield check.error(
            "order",
            (*_PASS, "abort_only_after"),
            "this lies at or after the time over target",
            why="there is nothing left to abort",
            help=help,
        )


def no_cue_has_its_hold(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Nobody returns to a hold that there is none of."""
    if file.event is not None and file.event.pass_.no_cue == "hold" and file.event.pass_.hold is None:
        message = "`no_cue` sends the flight back to the hold, and the pass has no hold"
        yield check.error(
            "no-cue",
            (*_PASS, "no_cue"),
            message,
            why="nobody could do it",
            help="write `no_cue: go home`, or give the pass its hold",
        )


def what_is_said_after_the_hold_has_one(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Nobody leaves a hold that there is none of."""
    pass_ = given(file, "event", "pass_")
    if given(pass_, "after_leaving_hold") is not None and pass_.hold is None:
        yield check.caution(
            "after-hold",
            (*_PASS, "after_leaving_hold"),
            "`after_leaving_hold` says what counts after the hold, and the pass has no hold",
            why="without a hold the flight is told fast or slow all the way",
            help="take the line out, or give the pass its hold",
        )


def lost_contact_has_its_hold(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """What is flown without the ground contact counts from a point of this pass, and waits in a hold that
    there is."""
    own = given(file, "event", "pass_", "no_ground_contact")
    given_ = own if own is not None else file.contingencies.no_ground_contact
    path: KeyPath = (*(_PASS if own is not None else ("contingencies",)), "no_ground_contact")
    if file.event is None or file.event.pass_.hold is not None or given_ is None:
        return
    apart = "" if own is not None else ", or give this pass a `no_ground_contact` of its own"
    if given_.after is not None and given_.after.point == "leave-hold":
        message, help = (
            "`after` counts from leave-hold, and the pass has no hold",
            f"write {given_.after.seconds:g} s before IP{apart}",
        )
        yield check.error("no-hold", (*path, "after"), message, why="the time would be lost", help=help)
    if given_.then == "hold":
        yield check.error(
            "no-hold",
            (*path, "then"),
            "`then` keeps the flight in the hold, and the pass has no hold",
            why="nobody could do it",
            help=f"write go home{apart}",
        )


def enough_ships(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The pass does not ask for more ships than fly."""
    wanted = file.event.pass_.minimum_ships if file.event else None
    if wanted is not None and not 1 <= wanted <= len(file.flight):
        alone = len(file.flight) == 1
        fly = "one ship flies" if alone else f"{len(file.flight)} ships fly"
        message = f"the pass wants at least {wanted} ship{'' if wanted == 1 else 's'}, and {fly}"
        help = "write 1, or leave it out" if alone else f"write a number from 1 to {len(file.flight)}"
        yield check.error(
            "minimum-ships",
            (*_PASS, "minimum_ships"),
            message,
            why="a pass is flown by one ship at least" if wanted < 1 else "the pass could never be flown",
            help=help,
        )


def parties_in_order(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A time counted from T ends after it begins."""
    rows = [
        (("event", "parties", i), "to", party)
        for i, party in enumerate(given(file, "event", "parties") or ())
    ]
    rows += [
        (("event", "other_traffic", i), "until", traffic)
        for i, traffic in enumerate(given(file, "event", "other_traffic") or ())
    ]
    for path, key, entry in rows:
        start, end = given(entry, "from_"), given(entry, key)
        if isinstance(start, TOffset) and isinstance(end, TOffset) and end.seconds <= start.seconds:
            why, related = "the time between the two is what was meant", (("its beginning", (*path, "from")),)
            yield check.error(
                "order",
                (*path, key),
                "this ends before it begins",
                why=why,
                help="check the two times",
                related=related,
            )
