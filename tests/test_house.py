"""The house rules that a program can check: order of the stages, size, where words and figures live, plain files."""

import ast
import csv
import re
import subprocess
import sys
import zipfile
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import pipeline

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "pipeline"
MODULES = sorted(PACKAGE.rglob("*.py"))
TABLES = sorted(path for top in ("models", "data") for path in (ROOT / top).rglob("*.csv"))
STAGES = re.findall(r"^    (\w+)\s.*->", pipeline.__doc__ or "", re.MULTILINE)
FUNCTION = ast.FunctionDef | ast.AsyncFunctionDef

LONGEST_MODULE = 400
LONGEST_FUNCTION = 40
DEEPEST_NESTING = 3
MOST_WORDS = 8


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def each(paths: list[Path]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("path", paths, ids=shown)


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(path: Path) -> list[FUNCTION]:
    return [node for node in ast.walk(tree(path)) if isinstance(node, FUNCTION)]


def stage(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    """Stages that the module imports, at its top or inside a function."""
    names: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module == "pipeline":
            names |= {f"pipeline.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return {name.split(".")[1] for name in names if name.startswith("pipeline.")}


def test_the_stages_of_the_docstring_are_the_modules_of_the_package():
    found = {stage(path) for path in MODULES} - {"__init__"}
    assert sorted(STAGES) == sorted(found)


@each([path for path in MODULES if path.parent != PACKAGE or path.name != "__init__.py"])
def test_no_stage_imports_a_later_one(path):
    place = STAGES.index(stage(path))
    assert imported(path) <= set(STAGES[: place + 1])


@each(MODULES)
def test_modules_and_functions_are_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE
    long = [node.name for node in functions(path) if length(node) > LONGEST_FUNCTION]
    assert long == []


def length(node: FUNCTION) -> int:
    """Lines of the body, the docstring not counted."""
    body = node.body[1:] if ast.get_docstring(node) else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


@each(MODULES)
def test_nesting_is_shallow(path):
    deep = [node.name for node in functions(path) if depth(node) > DEEPEST_NESTING]
    assert deep == []


def depth(node: ast.AST) -> int:
    """Levels of blocks within blocks; an `elif` is on the level of its `if`."""
    deepest = 0
    for field in ("body", "orelse", "handlers", "finalbody", "cases"):
        for child in getattr(node, field, []):
            block = isinstance(child, ast.If | ast.For | ast.While | ast.With | ast.Try | ast.Match)
            alike = field == "orelse" and isinstance(node, ast.If) and isinstance(child, ast.If)
            deepest = max(deepest, depth(child) + (block and not alike))
    return deepest


@each(MODULES)
def test_no_list_of_words_hides_in_the_code(path):
    nodes = list(ast.walk(tree(path)))
    types = {id(node.slice) for node in nodes if isinstance(node, ast.Subscript)}
    headers = {id(node.value) for node in header_parts(path)}
    long = [node.lineno for node in nodes if id(node) not in types | headers and words(node) > MOST_WORDS]
    assert long == []


def header_parts(path: Path) -> list[ast.Assign]:
    """Assignments to a name that ends in COLUMNS, or to one spread into such: a format, and no language."""
    named = [node for node in tree(path).body if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)]
    headers = [node for node in named if node.targets[0].id.endswith("COLUMNS")]
    inside = {part.id for node in headers for part in ast.walk(node.value) if isinstance(part, ast.Name)}
    return headers + [node for node in named if node.targets[0].id in inside]


def words(node: ast.AST) -> int:
    """Strings in a literal collection, or words in a string that is split."""
    if isinstance(node, ast.List | ast.Set | ast.Tuple):
        return sum(isinstance(item, ast.Constant) and isinstance(item.value, str) for item in node.elts)
    if isinstance(node, ast.Dict):
        return sum(isinstance(item, ast.Constant) and isinstance(item.value, str) for item in node.keys)
    split = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "split"
    if split and isinstance(node.func.value, ast.Constant) and isinstance(node.func.value.value, str):
        return len(node.func.value.value.split())
    return 0


@each(MODULES)
def test_every_public_function_says_what_it_does(path):
    holders = [tree(path), *(node for node in tree(path).body if isinstance(node, ast.ClassDef))]
    public = [
        node
        for holder in holders
        for node in holder.body
        if isinstance(node, FUNCTION)
        and not node.name.startswith("_")
        and not getattr(holder, "name", "").startswith("_")
    ]
    assert [node.name for node in public if not ast.get_docstring(node)] == []


@each(TABLES)
def test_tables_are_utf8_sorted_and_whole(path):
    text = path.read_bytes().decode("utf-8")
    assert "\r" not in text
    assert text.endswith("\n")
    header, *rows = csv.reader(text.splitlines())
    assert [number for number, row in enumerate(rows, 2) if len(row) != len(header)] == []
    place = header.index("position") if "position" in header else 0
    number = all(row[place].isdigit() for row in rows)
    keys = [int(row[place]) if number else row[place] for row in rows]
    assert [key for before, key in pairwise(keys) if key < before] == []


def test_the_tree_names_no_place_on_a_machine():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    place = re.compile(rb"(?:^|[\s\"'(=:])/(?:home|root|Users|work|tmp|opt|mnt)/|[A-Z]:\\\\Users")
    found = [
        name
        for name in listed.stdout.split("\0")
        if name and (ROOT / name).is_file() and place.search((ROOT / name).read_bytes())
    ]
    assert found == []


def test_requirements_pin_every_version_exactly():
    pinned = re.compile(r"[a-z0-9-]+==[0-9][0-9a-z.]*")
    for path in sorted((ROOT / "requirements").glob("*.txt")):
        lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
        assert [line for line in lines if not pinned.fullmatch(line)] == []
        names = [line.split("==")[0] for line in lines]
        assert names == sorted(names)


def test_the_wheel_carries_the_models_the_data_and_the_templates(tmp_path):
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=ROOT, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    inside = set(zipfile.ZipFile(wheel).namelist())
    kept = [path for top in ("models", "data") for path in (ROOT / top).rglob("*") if path.is_file()]
    wanted = {f"pipeline/{shown(path)}" for path in kept}
    wanted |= {shown(path) for path in PACKAGE.rglob("*") if path.is_file() and path.suffix in {".html", ".css", ".py"}}
    assert wanted - inside == set()
