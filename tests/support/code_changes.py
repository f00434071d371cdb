"""Small changes of a module that its tests should notice.

Comparisons, arithmetic, logic and numbers are exchanged, conditions and results turned round, and
statements left out. Words, annotations and what is only imported for types stay as they are.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from types import CodeType
from typing import Any

OPERATORS: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.FloorDiv: (ast.Mult,),
    ast.Mod: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
NUMBERS = ("float", "int", "np.ndarray", "xr.DataArray", "complex")
"""Annotations of results that have a sign."""
UNTOUCHED = ("annotation", "returns", "decorator_list", "ctx")


@dataclass(frozen=True)
class Change:
    """One change: `new` in place of what a `field` of a node holds, or one entry of that field."""

    line: int
    words: str
    node: ast.AST
    field: str
    entry: int | None
    new: Any

    def put(self, value: Any) -> Any:
        """Exchange what stands there, and give back what stood there."""
        if self.entry is None:
            old = getattr(self.node, self.field)
            setattr(self.node, self.field, value)
        else:
            entries = getattr(self.node, self.field)
            old, entries[self.entry] = entries[self.entry], value
        return old

    def code(self, tree: ast.Module, path: str) -> CodeType:
        """The module with this change alone."""
        old = self.put(self.new)
        code = compile(ast.fix_missing_locations(tree), path, "exec")
        self.put(old)
        return code


def changes_of(tree: ast.Module) -> list[Change]:
    """Every change of a module, in the order of its text."""
    return sorted(_below(tree, ""), key=lambda change: change.line)


def _below(node: ast.AST, result: str) -> Iterator[Change]:
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return
    if isinstance(node, ast.FunctionDef) and node.returns is not None:
        result = ast.unparse(node.returns)
    for field, value in ast.iter_fields(node):
        if field in UNTOUCHED:
            continue
        listed = isinstance(value, list)
        for number, child in enumerate(value if listed else [value]):
            if not isinstance(child, ast.AST) or _is_words(child):
                continue
            for new, words in _instead(node, field, child, result):
                line = getattr(child, "lineno", getattr(node, "lineno", 0))
                yield Change(line, words, node, field, number if listed else None, new)
            yield from _below(child, result)


def _is_words(node: ast.AST) -> bool:
    """A docstring, or names for others: `__all__`."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Constant)
    return isinstance(node, ast.Assign) and ast.unparse(node.targets[0]).startswith("__")


def _instead(
    parent: ast.AST, field: str, node: ast.AST, result: str
) -> Iterator[tuple[ast.AST, str]]:
    """What may stand in the place of a node, and what that change is called."""
    for other in OPERATORS.get(type(node), ()):
        yield other(), f"{type(node).__name__} → {other.__name__} in {ast.unparse(parent)}"
    if isinstance(node, ast.Constant) and isinstance(node.value, bool | int | float):
        new = ast.Constant(_other(node.value))
        yield new, f"{node.value} → {new.value} in {ast.unparse(parent)}"
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not | ast.Invert):
        yield node.operand, f"without the sign: {ast.unparse(node)}"
    if field == "test" or (field == "ifs" and isinstance(parent, ast.comprehension)):
        yield ast.UnaryOp(ast.Not(), node), f"not {ast.unparse(node)}"  # type: ignore[arg-type]
    if isinstance(parent, ast.Return) and result in (*NUMBERS, "bool"):
        sign = ast.Not() if result == "bool" else ast.USub()
        new = ast.UnaryOp(sign, node)  # type: ignore[assignment, arg-type]
        yield new, f"return {ast.unparse(new)}"
    if isinstance(node, ast.Raise | ast.AugAssign | ast.Expr) and not _is_words(node):
        yield ast.Pass(), f"left out: {ast.unparse(node)}"


def _other(value: bool | int | float) -> bool | int | float:
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int) or value == 0 else 2 * value
