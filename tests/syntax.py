"""The syntax tree of a module, read once for all rules that look at it."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def tree(module: Path) -> ast.Module:
    return ast.parse(module.read_text("utf-8"))


@cache
def nodes(module: Path) -> tuple[ast.AST, ...]:
    """All of the tree, which a dozen rules look through."""
    return tuple(ast.walk(tree(module)))
