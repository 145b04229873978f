"""The sources of the program as trees, for the tests that read them: parsed once in a process."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(path: Path) -> ast.Module:
    """A module as it is written; nobody changes the tree."""
    return ast.parse(path.read_text(encoding="utf-8"))
