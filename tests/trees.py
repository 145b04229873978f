"""The sources of the program as trees, for the tests that read them: parsed and walked once in a process."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(path: Path) -> ast.Module:
    """A module as it is written; nobody changes the tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes_in(tree: ast.AST) -> tuple[ast.AST, ...]:
    """Every node of a tree, as ``ast.walk`` comes by them."""
    return tuple(ast.walk(tree))


def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    """Every node of a module."""
    return nodes_in(tree_of(path))
