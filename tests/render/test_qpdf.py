"""Every printed product against qpdf, which reads a PDF as strictly as its specification."""

from __future__ import annotations

import subprocess

import pytest

from tests.planned import plan_of
from tests.render.pdf_cases import context, made

pytestmark = pytest.mark.qpdf
NAMES = ("regatta", "overcommitted", "founders-day", "lantern-fair", "start", "three-harbours", "twin-fields")


def checked(path) -> tuple[int, str]:
    """0 without a fault, 2 with errors, 3 with warnings."""
    found = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True, check=False)
    return found.returncode, found.stdout + found.stderr


@pytest.mark.parametrize("name", NAMES)
def test_every_card_is_a_sound_pdf(name, tmp_path):
    plan = plan_of(f"missions/{name}.yaml")
    events = dict.fromkeys(each.section.event.id for each in plan.passes)
    parts = [("approval", ""), *(("kneeboard", str(ship.ship)) for ship in plan.mission.file.flight[:2])]
    parts += [("ground-contact", id if len(events) > 1 else "") for id in events]
    for kind, part in parts:
        path = tmp_path / f"{kind}-{part}.pdf"
        path.write_bytes(made(plan, context(part), kind).pdf)
        code, said = checked(path)
        assert code == 0, (kind, part, said)


def test_the_check_can_fail(tmp_path):
    path = tmp_path / "cut.pdf"
    path.write_bytes(made(plan_of("missions/start.yaml"), context(), "approval").pdf[:-400])
    assert checked(path)[0] != 0
