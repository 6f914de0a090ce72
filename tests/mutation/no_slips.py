"""Leave out of a run of Cosmic Ray what is no slip of a pen, whatever the tests: by rule, not case by case.

    python -m tests.mutation.no_slips RUN.sqlite

Left out is what is no Python any more (``*`` of a call as ``/``), and what differs in nothing but what mypy
holds and no test has to: whether a dataclass is frozen, whether an argument may be given by place, and what
an ``assert`` tells it.
"""

import ast
import sys
from pathlib import Path

# Others make such in an assert alone, and are asked there alone: it takes a quarter of a second for each.
_ASKED = ("core/ReplaceBinaryOperator_Mul_Div", "core/ReplaceTrueWithFalse")


class _Plain(ast.NodeTransformer):
    """A program without what mypy holds: dataclasses frozen, arguments by place or name, no assert."""

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self.generic_visit(node)
        for decorator in node.decorator_list:
            if isinstance(decorator, ast.Call) and ast.unparse(decorator.func) == "dataclass":
                decorator.keywords = [word for word in decorator.keywords if word.arg != "frozen"]
        return node

    def visit_Assert(self, node: ast.Assert) -> ast.AST:
        return ast.Pass()

    def visit_arguments(self, node: ast.arguments) -> ast.AST:
        self.generic_visit(node)
        by_name = [value for value in node.kw_defaults if value is not None]
        node.args = [*node.posonlyargs, *node.args, *node.kwonlyargs]
        node.defaults = [*node.defaults, *by_name]
        node.posonlyargs, node.kwonlyargs, node.kw_defaults = [], [], []
        return node


def _plain(source: str) -> str:
    return ast.dump(_Plain().visit(ast.parse(source)))


def is_a_slip(before: str, after: str) -> bool:
    """Whether the changed source is a program, and another one than before."""
    try:
        compile(after, "changed", "exec", dont_inherit=True)
    except SyntaxError:
        return False
    return _plain(before) != _plain(after)


def _lines_of_asserts(source: str) -> set[int]:
    found = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Assert))
    return {line for node in found for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}


def leave_out(database: Path) -> tuple[int, int]:
    """Mark as skipped what is no slip. How many were left out, and how many are left to be run."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator
    from cosmic_ray.work_db import WorkDB, use_db
    from cosmic_ray.work_item import WorkerOutcome, WorkResult

    out = stay = 0
    with use_db(database, WorkDB.Mode.open) as work:
        for item in list(work.pending_work_items):
            (mutation,) = item.mutations
            before = Path(mutation.module_path).read_text(encoding="utf-8")
            asserts = mutation.start_pos[0] in _lines_of_asserts(before)
            if mutation.operator_name not in _ASKED and not asserts:
                stay += 1
                continue
            operator = get_operator(mutation.operator_name)(**mutation.operator_args)
            after = mutate_code(before, operator, mutation.occurrence)
            if after is not None and is_a_slip(before, after):
                stay += 1
                continue
            out += 1
            work.set_result(item.job_id, WorkResult(output="no slip", worker_outcome=WorkerOutcome.SKIPPED))
    return out, stay


if __name__ == "__main__":
    print("{} left out, {} to run".format(*leave_out(Path(sys.argv[1]))))
