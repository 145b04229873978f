"""Where things lie, for tests in any folder."""

from __future__ import annotations

from pathlib import Path

TESTS = Path(__file__).resolve().parent
REPOSITORY = TESTS.parent
