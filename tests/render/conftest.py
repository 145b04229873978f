"""What LibreOffice and the checker make of the decks."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.render.checker import Report, check_decks


@pytest.fixture(scope="session")
def reports(request: pytest.FixtureRequest, made_once: Callable[..., Path]) -> dict[str, Report]:
    """Of every deck that a collected test names, converted together: a start of LibreOffice takes as long as
    a small deck."""
    from tests.render.decks import deck_of

    asked = [item.callspec.params for item in request.session.items if "reports" in _fixtures(item)]
    names = sorted({params["deck"] for params in asked})

    def make(folder: Path) -> None:
        paths = [folder / f"{number}.pptx" for number in range(len(names))]
        for name, path in zip(names, paths, strict=True):
            path.write_bytes(deck_of(name)[0])
        found = [vars(report) for report in check_decks(paths)]
        for report, name in zip(found, names, strict=True):
            report["told"] = [problem.message for problem in deck_of(name)[1]]
        (folder / "reports.json").write_text(json.dumps(found), encoding="utf-8")

    told = json.loads((made_once("decks", make) / "reports.json").read_text(encoding="utf-8"))
    return {name: Report(**report) for name, report in zip(names, told, strict=True)}


def _fixtures(item: pytest.Item) -> list[str]:
    return getattr(item, "fixturenames", [])
