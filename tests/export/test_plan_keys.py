"""plan.json only grows: whoever reads it finds every key that it has ever had."""

from __future__ import annotations

import json
from typing import Any

from briefgen.build.products import PRODUCTS
from tests.places import TESTS
from tests.planned import brief_of
from tests.render.pdf_cases import STAMP, context, plan_of

# new keys are added to it, none is ever taken out while plan_format is 2
LISTED = TESTS / "data" / "plan_keys.txt"


def keys_in(value: Any, path: str = "") -> set[str]:
    """Every key with the keys above it, ``event.slips[].told_by``."""
    if isinstance(value, dict):
        return {f"{path}{key}" for key in value}.union(
            *(keys_in(inner, f"{path}{key}.") for key, inner in value.items())
        )
    return (
        set().union(*(keys_in(inner, f"{path.removesuffix('.')}[].") for inner in value))
        if isinstance(value, list)
        else set()
    )


def test_no_key_is_ever_lost():
    """Of the regatta, which fills most of the format."""
    make = next(product.make for product in PRODUCTS if product.name == "plan")
    (_, data), *_ = make(brief_of(plan_of("missions/regatta.yaml"), STAMP), context())[0]
    document = json.loads(data)
    assert document["plan_format"] == 2
    listed = set(LISTED.read_text(encoding="ascii").split())
    assert len(listed) > 600
    assert sorted(listed - keys_in(document["plan"]) - set(document)) == []


def test_the_check_can_fail():
    assert keys_in({"a": [{"b": 1}, {"c": {"d": 2}}]}) == {"a", "a[].b", "a[].c", "a[].c.d"}
