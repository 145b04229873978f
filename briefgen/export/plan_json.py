"""The plan as data: ``plan.json``.

The file is for other programs. ``plan_format`` is 1; within it keys are only ever added, never renamed,
removed or given another unit, so a reader must ignore keys that it does not know.

===============  ============================================================================================
key              what it holds
===============  ============================================================================================
``plan_format``  1
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
``printed``      the same figures as the products word them: rounded, with unit and clock
===============  ============================================================================================
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from briefgen.core.plain import to_plain
from briefgen.export.format1 import format1
from briefgen.plan.sortie import Plan

PLAN_FORMAT = 1


def plan_json(plan: Plan, *, head: Mapping[str, Any], typed: Any, printed: Mapping[str, Any]) -> bytes:
    """``plan.json`` as UTF-8 bytes that end in a line end. ``head`` holds the keys of the table above between
    ``plan_format`` and ``typed``; ``printed`` comes from the room that words figures for readers."""
    parts = {"typed": typed, "plan": format1(plan), "printed": printed}
    document = {"plan_format": PLAN_FORMAT, **to_plain(head), **to_plain(parts)}
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode("utf-8")
