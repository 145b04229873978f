"""Builds without the work that a test does not look at."""

from __future__ import annotations

import pytest

from briefgen.build import build as build_room


def without_getting_ready(patch: pytest.MonkeyPatch) -> None:
    """For products that need neither the what-ifs nor what slides and pages are made with."""
    patch.setattr(build_room, "get_ready", nothing)
    patch.setattr(build_room, "_what_ifs", nothing)


def of_plan_alone(patch: pytest.MonkeyPatch) -> None:
    """plan.json stands for every product: all carry the same mark."""
    without_getting_ready(patch)
    of_one_alone(patch, "plan")


def of_one_alone(patch: pytest.MonkeyPatch, name: str) -> None:
    """The one product that a test looks at."""
    one = [product for product in build_room.PRODUCTS if product.name == name]
    assert len(one) == 1, name
    patch.setattr(build_room, "PRODUCTS", one)


def nothing(*_: object) -> None:
    """In the place of work that nobody asks for; found by its name in the second worker."""
