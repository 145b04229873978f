"""The tool that compares two states of the program finds what differs, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.tools.same_products import differing

PLAN = {"clock": {"takeoff": "02:07:00"}, "ships": [{"ship": 1, "fuel": 5500}, {"ship": 2, "fuel": 5400}]}


def folder(root: Path, **files: str) -> Path:
    for name, text in files.items():
        path = root / "m" / name.replace("_", ".")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


CHANGES = {
    # what is changed                  the files after                                              the line
    # told
    "nothing": ({}, []),
    "a byte of a card": ({"card_pdf": "b"}, ["m/card.pdf: other bytes"]),
    "the manifest": ({"manifest_json": "other"}, []),
    "the order of the keys": ({"plan_json": json.dumps(dict(reversed(PLAN.items())))}, []),
    "a value of the plan": (
        {"plan_json": json.dumps(PLAN).replace("5400", "5410")},
        ["m/plan.json: .ships[1].fuel: 5400 -> 5410"],
    ),
    "a key of the plan": ({"plan_json": json.dumps({**PLAN, "sun": 1})}, ["m/plan.json: .sun: only after"]),
    "one product more": ({"deck_pptx": "d"}, ["m/deck.pptx: only after"]),
}


@pytest.mark.parametrize("name", CHANGES)
def test_every_difference_is_told(tmp_path, name):
    changes, told = CHANGES[name]
    before = {"card_pdf": "a", "plan_json": json.dumps(PLAN), "manifest_json": "one"}
    assert (
        list(differing(folder(tmp_path / "one", **before), folder(tmp_path / "two", **{**before, **changes})))
        == told
    )
