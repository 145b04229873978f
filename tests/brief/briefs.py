"""The shipped missions, planned, and their views; for tests that read what a brief says."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.content.blocks import Page
from briefgen.brief.slides.pages import View, build_pages, read_templates
from briefgen.brief.slides.view.view import make_view
from briefgen.core import resources
from briefgen.core.context import Stamp
from briefgen.plan.sortie import Plan
from tests.places import OF_ONE_PASS
from tests.planned import REPOSITORY as ROOT
from tests.planned import plan_of

STAMP = Stamp("TEST", "Test", "K7QH-49AC-XXTM-3PWJ", "K7QH", "0", "2026f")
REGATTA, FOUNDERS, PASS_ONLY = (
    "missions/regatta.yaml",
    "missions/founders-day.yaml",
    "tests/cases/ok-pass-only.yaml",
)
ALL = [
    str(path.relative_to(ROOT))
    for path in sorted([*OF_ONE_PASS, ROOT / PASS_ONLY, ROOT / "tests/cases/ok-by-hand.yaml"])
]


def training_only() -> Plan:
    """The smallest training sortie."""
    return plan_of("tests/cases/ok-training-only.yaml")


def view_of(name: str) -> View:
    """The view of a mission file."""
    plan = plan_of(name)
    return make_view(plan, replace(STAMP, failing=sum(gate.verdict == "FAIL" for gate in plan.gates)))


def pages_of(view: View) -> list[Page]:
    """The slides of a view; every template must be without a mistake."""
    pages, diagnostics = build_pages(read_templates([resources.templates_folder() / "brief"]), view)
    assert diagnostics == []
    return pages
