"""The house keeps its own rules about imports: quick starts, and arrows that only point down."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SLOW = ("scipy.optimize", "scipy.stats", "sqlalchemy.orm")
OF_THE_BOOK = ("sqlalchemy", "alembic", "psycopg")
PACKAGES = (
    *("errors", "units", "sources", "properties", "catalogue", "book", "stages", "store"),
    *("planning", "gauging", "services", "sheets", "desk", "cli", "pace"),
)
ALLOWED = (
    ("units", "errors"),
    ("sources", "errors"),
    ("properties", "units"),
    ("properties", "sources"),
    ("stages", "properties"),
    ("catalogue", "units"),
    ("catalogue", "sources"),
    ("planning", "stages"),
    ("planning", "catalogue"),
    ("gauging", "stages"),
    ("gauging", "catalogue"),
    ("book", "units"),
    ("store", "book"),
    ("services", "planning"),
    ("services", "store"),
    ("services", "properties"),
    ("services", "gauging"),
    ("cli", "services"),
    ("cli", "sheets"),
    ("cli", "desk"),
    ("desk", "sheets"),
    ("sheets", "units"),
    ("desk", "errors"),
    ("properties", "pace"),
    ("stages", "pace"),
    ("planning", "pace"),
    ("desk", "pace"),
)
FORBIDDEN = (
    ("pace", "errors"),
    ("errors", "pace"),
    ("pace", "units"),
    ("errors", "units"),
    ("units", "properties"),
    ("properties", "stages"),
    ("properties", "catalogue"),
    ("stages", "planning"),
    ("stages", "catalogue"),
    ("catalogue", "properties"),
    ("catalogue", "stages"),
    ("planning", "book"),
    ("planning", "services"),
    ("planning", "gauging"),
    ("gauging", "planning"),
    ("gauging", "store"),
    ("gauging", "services"),
    ("stages", "gauging"),
    ("book", "sources"),
    ("book", "properties"),
    ("book", "store"),
    ("store", "properties"),
    ("store", "planning"),
    ("services", "sheets"),
    ("cli", "planning"),
    ("cli", "gauging"),
    ("desk", "gauging"),
    ("desk", "cli"),
    ("sheets", "properties"),
    ("sheets", "cli"),
    ("desk", "store"),
)


def test_a_command_starts_without_slow_libraries() -> None:
    """Each of them costs about a second at every start, so it is imported where it is used."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", "import caskward.cli"],
        capture_output=True,
        text=True,
        check=True,
    )
    imported = {line.rsplit("|", 1)[-1].strip() for line in done.stderr.splitlines()}
    assert "caskward.cli" in imported
    assert imported.isdisjoint(SLOW)
    assert imported.isdisjoint(OF_THE_BOOK), (
        "only the store imports these, and only a command of the book the store"
    )


def _imported_at_the_top(module: Path) -> set[str]:
    """Names that a module imports whenever it is imported; `from a import b` counts as `a` and `a.b`."""
    names: set[str] = set()
    tree = ast.parse(module.read_text(encoding="utf-8"))
    for node in _nodes_outside_functions(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


def _nodes_outside_functions(tree: ast.AST) -> list[ast.AST]:
    found = [tree]
    for child in ast.iter_child_nodes(tree):
        if not isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            found += _nodes_outside_functions(child)
    return found


def test_slow_libraries_are_imported_inside_functions() -> None:
    modules = sorted((ROOT / "src" / "caskward").rglob("*.py"))
    assert modules
    offenders = {
        module.name: slow for module in modules if (slow := _imported_at_the_top(module) & set(SLOW))
    }
    assert offenders == {}


def test_a_slow_library_at_the_top_would_be_seen(tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text(
        "if True:\n    from scipy import optimize\ndef root():\n    import scipy.stats\n", encoding="utf-8"
    )
    assert _imported_at_the_top(module) & set(SLOW) == {"scipy.optimize"}


def _lint(folder: Path, imports: tuple[tuple[str, str], ...]) -> tuple[int, str]:
    """Lay out a package with nothing but these imports in it and hold it against the contracts."""
    package = folder / "caskward"
    for name in PACKAGES:
        (package / name).mkdir(parents=True)
        (package / name / "__init__.py").touch()
    (package / "__init__.py").touch()
    for importer, imported in imports:
        (package / importer / f"to_{imported}.py").write_text(
            f"import caskward.{imported}\n", encoding="utf-8"
        )
    lint = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    done = subprocess.run(
        [sys.executable, "-c", lint, "--no-cache", "--no-logo", str(ROOT / "pyproject.toml")],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def test_contracts_let_pass_what_the_layers_allow(tmp_path: Path) -> None:
    code, said = _lint(tmp_path, ALLOWED)
    assert code == 0, said


def test_contracts_stop_what_the_layers_forbid(tmp_path: Path) -> None:
    code, said = _lint(tmp_path, FORBIDDEN)
    let_pass = [pair for pair in FORBIDDEN if "caskward.{0}.to_{1} -> caskward.{1}".format(*pair) not in said]
    assert code == 1, said
    assert let_pass == [], said
