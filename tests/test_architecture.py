"""Rules of the code's shape: who imports whom, who reads and prints, what a run has to load."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import inlayfit

PACKAGE = Path(inlayfit.__file__).parent
MODULES = {
    ".".join(path.relative_to(PACKAGE).with_suffix("").parts): path for path in sorted(PACKAGE.rglob("*.py"))
}

# from the bottom up: a module imports only from its own package or from rows below
LAYERS: tuple[tuple[str, ...], ...] = (
    ("__init__", "errors", "statement"),
    ("quantity", "cutters"),
    ("outline", "cuts", "programme"),
    ("joint",),
    ("seat",),
    ("shop",),
    ("tolerance",),
    ("proof",),
    ("checks",),
    ("sheet", "drawings"),
    ("plan",),
    ("advice", "dryfit", "measured_bit", "proving"),
    ("intake", "result_file"),
    ("outline_shelf", "programme_files"),
    ("trials",),
    ("choose",),
    ("report",),
    ("pictures",),
    ("batch",),
    ("cli",),
    ("__main__",),
)
LAYER = {name: number for number, layer in enumerate(LAYERS) for name in layer}

COMMAND_LINE = {module for module in MODULES if module.startswith("cli.") and module != "cli.__init__"}

ONLY_IN = {
    "click": COMMAND_LINE,
    "yaml": {"sheet.tree"},
    "ezdxf": {"drawings.dxf_drawing"},
    "svgelements": {"drawings.svg_path"},
    "subprocess": set(),
    "socket": set(),
    "urllib": set(),
}
"""Other packages, and the only modules that may import them."""

WITHOUT_WORDS = {"joint", "outline", "seat", "shop", "tolerance", "checks", "plan", "advice"}
ERRORS_WITH_LENGTHS = {"joint.depths", "joint.groove_fit"}
"""Modules of the core that refuse a sheet's numbers by telling them."""

MOST_LINES, TABLE_LINES = 350, 500
TABLES = {"sheet.keys", "joint.wood_table", "report.sentences"}
READS_FILES = COMMAND_LINE | {"intake", "result_file"}
OUTLINE_LEVEL = {
    "checks.narrow_places", "drawings.fill_rule", "drawings.hairlines", "drawings.loops",
    "drawings.outline_file", "drawings.polygon_rings", "drawings.positions", "drawings.specks", "drawings.svg_outline",
    "drawings.svg_path", "joint.floor",
    "pictures.boards", "pictures.markers", "pictures.outline_plan", "pictures.plan_paper",
    "drawings.dxf_curves", "drawings.dxf_lines", "drawings.dxf_outline", "drawings.part_drawing", "drawings.size",
    "drawings.openings", "drawings.svg_areas", "drawings.svg_strokes",
    "cutters", "cuts.envelope", "cuts.removed", "cuts.tool_path",
    "seat.as_cut", "seat.contacts", "seat.course", "seat.joint_line", "seat.lines", "seat.load", "seat.pair",
    "seat.peaks", "seat.planned", "seat.rays", "seat.seat", "seat.side",
    "shop.blanks", "shop.cut_paths", "shop.cutting_time", "shop.gluing", "shop.hold_downs", "shop.placement",
    "shop.plug_border", "shop.shop", "shop.sweeps", "shop.wood_movement",
    "dryfit.causes", "dryfit.stories",
    "proving", "proof.bit_typed", "proof.depths_cut", "proof.floors_cut", "proof.lie", "proof.part_cut",
    "proof.posted_pair", "proof.walls_cut",
    "programme.arcs", "programme.moves", "programme.pieces",
    "tolerance.draws", "tolerance.fit_table", "tolerance.out_of_square", "tolerance.pairs", "tolerance.remedies",
    "tolerance.walls",
}  # fmt: skip
"""Modules beside ``outline`` that may bring shapely or numpy along; a sheet without an outline loads none of them."""


@cache
def tree_of(module: str) -> ast.Module:
    return ast.parse(MODULES[module].read_text(encoding="utf-8"))


def imports_of(module: str) -> Iterator[str]:
    """Dotted names of all imports of a module, those inside functions too; strings given to import_module as well."""
    for node in ast.walk(tree_of(module)):
        match node:
            case ast.Import(names=names):
                yield from (alias.name for alias in names)
            case ast.ImportFrom(module=str(source), level=0, names=names):
                yield from (f"{source}.{alias.name}" for alias in names)
            case ast.ImportFrom(level=level) if level:
                raise AssertionError(f"{module} has a relative import in line {node.lineno}")
            case ast.Call(
                func=ast.Name(id="import_module") | ast.Attribute(attr="import_module"), args=[first, *_]
            ):
                assert isinstance(first, ast.Constant), f"{module} imports a module by a computed name"
                yield str(first.value)


def own_imports(module: str) -> set[str]:
    """The package's own modules that a module imports."""
    found = set()
    for name in imports_of(module):
        top, _, rest = name.partition(".")
        if top == "inlayfit":
            parts = rest.split(".")
            found.add(next((path for n in (2, 1) if (path := ".".join(parts[:n])) in MODULES), "__init__"))
    return found


def layer_of(module: str) -> int:
    return LAYER[module.partition(".")[0]]


def calls_of(module: str) -> Iterator[tuple[str, ast.Call]]:
    """Every call with the last part of the called name."""
    for node in ast.walk(tree_of(module)):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.func.id, node
            elif isinstance(node.func, ast.Attribute):
                yield f".{node.func.attr}", node


def test_every_module_has_its_layer() -> None:
    assert {module.partition(".")[0] for module in MODULES} == set(LAYER)
    assert len(LAYER) == sum(len(layer) for layer in LAYERS)


@pytest.mark.parametrize("module", MODULES)
def test_imports_point_down(module: str) -> None:
    for used in own_imports(module):
        same_package = "." in module and used.partition(".")[0] == module.partition(".")[0]
        assert layer_of(used) < layer_of(module) or same_package, f"{module} imports {used}"


def test_imports_go_round_nowhere() -> None:
    # a type-only import is still an edge: what two modules need of each other belongs in a third
    TopologicalSorter({module: own_imports(module) for module in MODULES}).prepare()


@pytest.mark.parametrize("module", MODULES)
def test_packages_are_imported_only_where_they_belong(module: str) -> None:
    for name in imports_of(module):
        top = name.partition(".")[0]
        if top in ONLY_IN:
            assert module in ONLY_IN[top], f"{module} imports {top}"
        if top in ("shapely", "numpy") and not module.startswith("outline."):
            assert module in OUTLINE_LEVEL, f"{module} imports {top}"


def test_every_allowed_importer_exists() -> None:
    # a rule about a module that is gone guards nothing
    for top, modules in ONLY_IN.items():
        for module in modules:
            assert any(name.partition(".")[0] == top for name in imports_of(module)), (top, module)
    for module in OUTLINE_LEVEL:
        assert any(name.partition(".")[0] in ("shapely", "numpy") for name in imports_of(module)) or any(
            used in OUTLINE_LEVEL or used.startswith("outline.") for used in own_imports(module)
        ), module


@pytest.mark.parametrize("module", sorted(set(MODULES) - READS_FILES))
def test_core_prints_and_reads_nothing(module: str) -> None:
    forbidden = {
        "print", "input", "open", ".open", ".read_text", ".read_bytes", ".write_text", ".write_bytes", "breakpoint",
    }  # fmt: skip
    for name, node in calls_of(module):
        assert name not in forbidden, f"{module} calls {name} in line {node.lineno}"
    for node in ast.walk(tree_of(module)):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sys":
            assert node.attr not in ("stdout", "stderr", "stdin"), f"{module} uses sys.{node.attr}"


@pytest.mark.parametrize("module", MODULES)
def test_the_core_has_no_words_for_lengths(module: str) -> None:
    # what was measured goes up as values; the reports write it in the unit asked for
    if module.partition(".")[0] in WITHOUT_WORDS and module not in ERRORS_WITH_LENGTHS:
        ours = (name for name in imports_of(module) if name.startswith("inlayfit.quantity."))
        written = {name for name in ours if name.endswith("_text")}
        assert not written, f"{module} imports {written}"


@pytest.mark.parametrize("module", sorted(set(MODULES) - {"outline.regions"}))
def test_only_the_outline_offsets(module: str) -> None:
    for name, node in calls_of(module):
        assert name not in (".buffer", "buffer", ".offset_curve", ".parallel_offset"), (
            f"{module} offsets in line {node.lineno}"
        )


@pytest.mark.parametrize("module", MODULES)
def test_modules_are_short_and_say_what_they_are(module: str) -> None:
    lines = MODULES[module].read_text(encoding="utf-8").count("\n")
    assert lines <= (TABLE_LINES if module in TABLES else MOST_LINES), f"{module} has {lines} lines"
    assert ast.get_docstring(tree_of(module)), f"{module} has no docstring"


# --- what a run loads, in a fresh process ---------------------------------------------------------------------------

PLAIN_SHEET = """\
unit: mm
base: {thickness: 18}
plug: {thickness: 12}
bits: {v: {angle: 30}}
"""
WITH_OUTLINE = PLAIN_SHEET + "outline: {shapes: [{circle: 40}]}\n"

RUN = """
import sys
from inlayfit.cli import run
status = run(sys.argv[1:])
loaded = sorted({name.partition(".")[0] for name in sys.modules})
print("\\n" + "LOADED " + str(status) + " " + " ".join(loaded))
"""


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONPATH": str(PACKAGE.parent)}


def run(*arguments: str) -> tuple[int, set[str], str]:
    """Status, top packages loaded, and output of a command in a fresh process."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", RUN, *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        env=_environment(),
    )
    output, _, last = done.stdout.rpartition("LOADED ")
    assert last, done.stderr
    status, *loaded = last.split()
    return int(status), set(loaded), output


def test_help_loads_little() -> None:
    status, loaded, output = run("--help")
    assert status == 0
    assert "plan" in output
    assert "click" in loaded
    assert not loaded & {"shapely", "numpy", "yaml", "svgelements", "ezdxf"}


def test_command_line_loads_nothing_of_the_package_before_it_knows_the_command() -> None:
    code = "import sys, inlayfit.cli; print(*(name for name in sys.modules if name.startswith('inlayfit.')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=_environment())
    own = {name.removeprefix("inlayfit.") for name in done.stdout.split()}
    assert {name for name in own if name.partition(".")[0] != "cli"} == {"errors"}


def test_plan_without_an_outline_loads_neither_shapely_nor_numpy(tmp_path: Path) -> None:
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(PLAIN_SHEET, encoding="utf-8")
    for form in ("text", "json"):
        status, loaded, output = run("plan", str(sheet), "--format", form)
        assert status in (0, 1)
        assert "plug" in output
        assert "yaml" in loaded
        assert not loaded & {"shapely", "numpy", "svgelements", "ezdxf"}


def test_drawing_without_an_outline_loads_neither(tmp_path: Path) -> None:
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(PLAIN_SHEET, encoding="utf-8")
    status, loaded, _ = run("draw", str(sheet), "-o", str(tmp_path / "joint.svg"))
    assert status in (0, 1)
    assert (tmp_path / "joint.svg").exists()
    assert not loaded & {"shapely", "numpy", "svgelements", "ezdxf"}


def test_plan_with_an_outline_does_load_them(tmp_path: Path) -> None:
    # so that the test above can tell
    sheet = tmp_path / "lid.yaml"
    sheet.write_text(WITH_OUTLINE, encoding="utf-8")
    status, loaded, _ = run("plan", str(sheet))
    assert status in (0, 1)
    assert {"shapely", "numpy"} <= loaded
    assert not loaded & {"svgelements", "ezdxf"}
