"""Small changes to a module: which there are, what each does to the text, and how to make it.

Changed are comparisons, arithmetic, `and` and `or`, `not`, signs, numbers (whole ones by one, others by a quarter),
True and False, what a function returns, which branch is taken, min and max, any and all, and statements that do
something (removed). Left alone is what cannot change a result: docstrings, type hints, decorators, `__slots__`,
`strict=` of zip. Wording is left alone too: no text constant changes, but numbers inside an f-string do.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass

Place = tuple[ast.AST, str, int | None]
Step = Callable[[], None]

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
TWINS = {"min": "max", "max": "min", "any": "all", "all": "any"}
EMPTY = {"str": "''", "tuple": "()", "list": "[]", "dict": "{}", "set": "set()", "Mapping": "{}"}
LONGEST_TOLD, AROUND = 180, 60
HINTS = {"annotation", "returns", "decorator_list", "type_params"}


@dataclass(frozen=True)
class Change:
    """One change: `number` finds it again in the same source. `key` names it whatever its line number."""

    path: str
    function: str
    number: int
    first_line: int
    last_line: int
    at_import: bool
    names: tuple[str, ...]
    before: str
    after: str

    @property
    def key(self) -> str:
        return f"{self.path}:{self.function}: {self.before} -> {self.after}"


@dataclass(frozen=True)
class _Site:
    """A node with where it hangs, the statement and the function it belongs to."""

    node: ast.AST
    place: Place
    statement: ast.stmt
    statement_place: Place
    functions: tuple[ast.AST, ...]


def count(source: str) -> int:
    """How many changes a module allows."""
    return sum(len(_steps(site)) for site in _sites(ast.parse(source)))


def changed(source: str, number: int) -> ast.Module:
    """The module with one change made."""
    tree = ast.parse(source)
    _, step = _found(tree, number)
    step()
    return ast.fix_missing_locations(tree)


def described(path: str, source: str, number: int) -> Change | None:
    """What one change does; None where it leaves the text as it was."""
    site, step = _found(ast.parse(source), number)
    statement = site.statement
    body = getattr(statement, "body", None)
    if isinstance(statement, ast.FunctionDef):  # a default of its arguments: it tells where the function runs
        body = None
    last = max(statement.lineno, body[0].lineno - 1) if body else statement.end_lineno or statement.lineno
    names = {part.id for part in ast.walk(statement) if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Store)}
    before = ast.unparse(statement).splitlines()
    step()
    after = ast.unparse(_got(site.statement_place)).splitlines()
    if before == after:
        return None
    return Change(
        path,
        ".".join(getattr(outer, "name", "") for outer in site.functions) or "module",
        number,
        statement.lineno,
        last,
        not any(isinstance(outer, ast.FunctionDef) for outer in site.functions),
        tuple(sorted(names)),
        *_told(
            " / ".join(line.strip() for line in before if line not in after),
            " / ".join(line.strip() for line in after if line not in before),
        ),
    )


def _told(before: str, after: str) -> tuple[str, str]:
    """Both texts; of long ones only what lies around the difference."""
    if max(len(before), len(after)) <= LONGEST_TOLD:
        return before, after
    first = _alike(before, after)
    last = _alike(before[first:][::-1], after[first:][::-1])

    def around(text: str) -> str:
        begin, end = max(first - AROUND, 0), min(len(text) - last + AROUND, len(text))
        return f"{'… ' if begin else ''}{text[begin:end]}{' …' if end < len(text) else ''}"

    return around(before), around(after)


def _alike(one: str, other: str) -> int:
    """How many characters two texts share at their beginning."""
    pairs = zip(one, other, strict=False)
    return next((place for place, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))


def _found(tree: ast.Module, number: int) -> tuple[_Site, Step]:
    for site in _sites(tree):
        steps = _steps(site)
        if number < len(steps):
            return site, steps[number]
        number -= len(steps)
    raise IndexError(number)


def _got(place: Place) -> ast.AST:
    holder, field, index = place
    value = getattr(holder, field)
    found: ast.AST = value if index is None else value[index]
    return found


def _put(place: Place, new: ast.AST) -> None:
    holder, field, index = place
    if index is None:
        setattr(holder, field, new)
    else:
        getattr(holder, field)[index] = new


# --- where a change may be ------------------------------------------------------------------------


def _sites(tree: ast.Module) -> Iterator[_Site]:
    for index, statement in enumerate(tree.body):
        yield from _below(statement, (tree, "body", index), None, ())


def _below(node: ast.AST, place: Place, around: _Site | None, functions: tuple[ast.AST, ...]) -> Iterator[_Site]:
    if _left_alone(node):
        return
    if isinstance(node, ast.stmt) or around is None:
        site = _Site(node, place, node, place, functions)  # type: ignore[arg-type]
    else:
        site = _Site(node, place, around.statement, around.statement_place, functions)
    yield site
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        functions = (*functions, node)
    for field, value in ast.iter_fields(node):
        items = value if isinstance(value, list) else [value]
        for index, item in enumerate(items):
            if field not in HINTS and isinstance(item, ast.AST):
                yield from _below(item, (node, field, index if isinstance(value, list) else None), site, functions)


def _left_alone(node: ast.AST) -> bool:
    if isinstance(node, ast.Import | ast.ImportFrom):
        return True
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    if isinstance(node, ast.keyword):
        return node.arg == "strict"
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    if isinstance(node, ast.Assign):
        names = {target.id for target in node.targets if isinstance(target, ast.Name)}
        value = node.value
        made = value.func if isinstance(value, ast.Call) else value.value if isinstance(value, ast.Subscript) else None
        hint = isinstance(made, ast.Name) and made.id in ("TypeVar", "Callable", "tuple", "dict", "Mapping", "Sequence")
        return "__slots__" in names or hint
    return False


# --- what may change there ------------------------------------------------------------------------


def _steps(site: _Site) -> list[Step]:
    """The changes that one node allows, each as a step that makes it."""
    node, place = site.node, site.place
    if isinstance(node, ast.Compare):
        return _comparison_steps(node)
    if isinstance(node, ast.BinOp | ast.AugAssign):
        steps: list[Step] = []
        other = ARITHMETIC.get(type(node.op))
        if other and not _of_text(node):
            steps.append(lambda: setattr(node, "op", other()))
        if isinstance(node, ast.AugAssign):
            steps.append(lambda: _put(place, ast.Pass()))
        return steps
    if isinstance(node, ast.BoolOp):
        turned = ast.Or if isinstance(node.op, ast.And) else ast.And
        return [lambda: setattr(node, "op", turned())]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        return [lambda: _put(place, node.operand)]
    if isinstance(node, ast.Constant):
        return _constant_steps(node)
    if isinstance(node, ast.Return):
        return _return_steps(node, site.functions)
    if isinstance(node, ast.If | ast.IfExp):
        return [lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))]
    if isinstance(node, ast.comprehension):
        return [_negated(node, index) for index in range(len(node.ifs))]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TWINS:
        return [lambda: setattr(node, "func", ast.Name(TWINS[node.func.id], ast.Load()))]
    if isinstance(node, ast.Expr | ast.Raise | ast.Continue | ast.Break) or _sets_a_part(node):
        return [lambda: _put(place, ast.Pass())]
    return []


def _comparison_steps(node: ast.Compare) -> list[Step]:
    def step(index: int, other: type[ast.cmpop]) -> Step:
        return lambda: node.ops.__setitem__(index, other())

    return [step(index, other) for index, op in enumerate(node.ops) for other in COMPARISONS[type(op)]]


def _of_text(node: ast.BinOp | ast.AugAssign) -> bool:
    sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def _constant_steps(node: ast.Constant) -> list[Step]:
    value = node.value
    if isinstance(value, bool):
        return [lambda: setattr(node, "value", not value)]
    if isinstance(value, int):
        others: tuple[float, ...] = (value + 1, value - 1)
    elif isinstance(value, float):
        others = (float(f"{value * 1.25:.9g}"), float(f"{value * 0.75:.9g}")) if value else (1.0,)
    else:
        return []

    def step(other: float) -> Step:
        return lambda: setattr(node, "value", other)

    return [step(other) for other in others]


def _return_steps(node: ast.Return, functions: tuple[ast.AST, ...]) -> list[Step]:
    if node.value is None or (isinstance(node.value, ast.Constant) and node.value.value in (None, 0)):
        return []  # less nothing is nothing; the number itself changes by `_constant_steps`
    written = functions[-1].returns if functions and isinstance(functions[-1], ast.FunctionDef) else None
    hint = ast.unparse(written) if written else ""
    if hint == "bool":
        return [lambda: setattr(node, "value", ast.UnaryOp(ast.Not(), node.value))]
    if hint in ("float", "int"):
        return [lambda: setattr(node, "value", ast.UnaryOp(ast.USub(), node.value))]
    text = EMPTY.get(hint.split("[")[0], "None")
    return [lambda: setattr(node, "value", ast.parse(text, mode="eval").body)]


def _negated(node: ast.comprehension, index: int) -> Step:
    return lambda: node.ifs.__setitem__(index, ast.UnaryOp(ast.Not(), node.ifs[index]))


def _sets_a_part(node: ast.AST) -> bool:
    """An assignment to an attribute or an entry: without it the code still runs."""
    return isinstance(node, ast.Assign) and all(isinstance(t, ast.Attribute | ast.Subscript) for t in node.targets)
