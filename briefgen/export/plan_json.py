"""The plan as data: ``plan.json``.

The file is for other programs. ``plan_format`` is 2; within it keys are only ever added, never renamed,
removed or given another unit, so a reader must ignore keys that it does not know. It has every key of format
1 as well, null where several passes or blocks give no single answer (``format1.py``).

===============  ============================================================================================
key              what it holds
===============  ============================================================================================
``plan_format``  2
``briefgen``     version of the program
``tz_database``  version of the time zone database that turned local clocks into UTC, such as ``2026f``
``mission``      name of the sortie
``fingerprint``  the full fingerprint, and ``spoken``, its first four characters as read out
``caution``      the sentence that every product carries
``typed``        the mission as it was typed: nested objects and arrays of text
``plan``         everything that the products print, unrounded: the records of ``briefgen/plan/model`` field
                 by field, written by the rules of ``briefgen/core/plain.py``. Units are in the names:
                 ``_ft _nm _kt _s _lb _deg``; instants are UTC.
                 Fuel fields named ``printed``, ``total`` or ``figure`` are the figures of the products, in
                 ``fuel.unit`` (lb, kg, L or US gal): exact sums rounded once to the step of the ship's gauge
                 (``scale.step``), up where fuel is required, down where it is there; the unit's own limits
                 (``tiers``, a reserve or pad given as a weight) as typed. They are whole or have up to six
                 decimals. A ship's ``scale``: its unit, ``unit_lb`` pounds in one of it, ``step`` and whether
                 the file gives it (``step_given``), ``round_up_to`` of joker and bingo. ``fuel.step`` is the
                 coarsest of the ships' steps.
                 A ship's ``knock_off`` is the latest end of its training, the earlier of its
                 ``joker_reached`` and ``clock.knock_off``, which every product prints as END BY.
                 ``pieces``: what is flown, in order: ``kind`` (departure, training, transit, pass,
                 recovery), ``id`` of a block or pass (else empty), ``legs`` by their number in ``plan.legs``
                 from 0. ``passes``: each pass, with its ``id``, its ``event`` and which pass over it it is
                 (``number``), and the ids of its ``gates``; ``events``: each with its ``id``, zone and
                 ``passes``. ``blocks``: each block of training, with its ``id``; its instants are in
                 ``clock.blocks``, its joker and bingo in ``blocks`` of a ship. A phase, a bingo and a hold
                 name their ``piece``.
``printed``      the same figures as the products word them: rounded, with unit and clock; ``passes``: of
                 several each with its ``name`` and figures, which are then not among those of the whole
===============  ============================================================================================
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from briefgen.core.plain import to_plain
from briefgen.export.format1 import format1
from briefgen.plan.model.laid import Block, Laid, Way
from briefgen.plan.sortie import Plan

PLAN_FORMAT = 2


def plan_json(plan: Plan, *, head: Mapping[str, Any], typed: Any, printed: Mapping[str, Any]) -> bytes:
    """``plan.json`` as UTF-8 bytes that end in a line end. ``head`` holds the keys of the table above between
    ``plan_format`` and ``typed``; ``printed`` comes from the room that words figures for readers."""
    parts = {"typed": typed, "plan": plan_data(plan), "printed": printed}
    document = {"plan_format": PLAN_FORMAT, **to_plain(head), **to_plain(parts)}
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode("utf-8")


def plan_data(plan: Plan) -> dict[str, Any]:
    """``plan`` of plan.json."""
    return {**format1(plan), **_pieces(plan)}


def _pieces(plan: Plan) -> dict[str, Any]:
    """What is flown in which order, each block, pass and event."""
    passes = [
        {
            "id": each.section.id,
            "event": each.section.event.id,
            "number": each.section.number,
            "gates": [gate.id for gate in plan.gates if gate.piece == each.section.id],
            **to_plain(each),
        }
        for each in plan.passes
    ]
    events = [
        {
            "id": event.id,
            "zone": event.zone.key,
            "passes": [each["id"] for each in passes if each["event"] == event.id],
        }
        for event in plan.mission.events
    ]
    blocks = [to_plain(each) for each in plan.trainings]
    return {"pieces": list(_flown(plan)), "blocks": blocks, "passes": passes, "events": events}


def _flown(plan: Plan) -> Iterator[dict[str, Any]]:
    number = 0
    for piece in plan.route.pieces:
        legs = () if isinstance(piece, Block) else piece.legs
        kind, id = _named(piece)
        yield {"kind": kind, "id": id, "legs": list(range(number, number + len(legs)))}
        number += len(legs)


def _named(piece: Laid) -> tuple[str, str]:
    if isinstance(piece, Way):
        return piece.section.kind, ""
    if isinstance(piece, Block):
        return "training", piece.section.id
    return "pass", piece.chain.section.id
