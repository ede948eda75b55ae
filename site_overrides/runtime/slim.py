"""Which parts of numpy travel to the browser.

What `import numpy` itself imports stays. Of the subpackages that numpy imports only on first use, those
stay that calc names in its source. Tests, headers, type stubs and tools for building extensions go.
"""

import ast
from collections.abc import Iterable
from fnmatch import fnmatch
from pathlib import Path

# Never used once numpy is built and installed.
LEFT_OUT = (
    "*/tests/*",
    "*.pyi",
    "*.pxd",
    "*.h",
    "*.a",
    "*.c",
    "*.txt",
    "*.ini",
    "*/py.typed",
    "*/conftest.py",
    "numpy/__pycache__/*",
    "numpy/_core/code_generators/*",
    "numpy/_core/include/*",
    "numpy/_core/lib/*",
    "numpy/_core/_*_tests.*.so",
    "numpy/_core/_simd.*.so",
    "numpy/_core/cversions.py",
    "numpy/_configtool.py",
    "numpy/_pyinstaller/*",
    "numpy/core/*",
    "numpy/distutils/*",
    "numpy/f2py/*",
    "numpy/lib/_user_array_impl.py",
    "numpy/lib/recfunctions.py",
    "numpy/lib/user_array.py",
    "numpy/linalg/lapack_lite.*",
    "numpy/testing/*",
    "numpy/typing/mypy_plugin.py",
    "numpy/*/meson.build",
    "*/entry_points.txt",
)

# Imported by numpy only when first named: kept if calc names them.
ON_DEMAND = {
    "char": ("numpy/char/*", "numpy/_core/defchararray.py"),
    "ctypeslib": ("numpy/ctypeslib/*",),
    "fft": ("numpy/fft/*",),
    "ma": ("numpy/ma/*",),
    "matlib": ("numpy/matlib.py",),
    "polynomial": ("numpy/polynomial/*",),
    "random": ("numpy/random/*",),
    "rec": ("numpy/rec/*",),
    "strings": ("numpy/strings/*", "numpy/_core/strings.py"),
}

# Functions of numpy that reach for one of these subpackages when called.
REACHES_FOR = dict.fromkeys(
    ("genfromtxt", "intersect1d", "isin", "setdiff1d", "setxor1d", "union1d", "unique", "unique_values"), "ma"
)


def subpackages_named(folder: Path) -> list[str]:
    """The on-demand subpackages of numpy that the Python files under `folder` need, sorted."""
    named: set[str] = set()
    for path in folder.rglob("*.py"):
        named |= _named_in(ast.parse(path.read_text(encoding="utf-8"), str(path)))
    named |= {REACHES_FOR[name] for name in named & REACHES_FOR.keys()}
    return sorted(named & ON_DEMAND.keys())


def _named_in(tree: ast.AST) -> set[str]:
    named: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and ast.unparse(node.value) in ("np", "numpy"):
            named.add(node.attr)
        elif isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "numpy":
            inside = node.module.split(".")[1:2]
            named.update(inside or [alias.name for alias in node.names])
        elif isinstance(node, ast.Import):
            named.update(alias.name.split(".")[1] for alias in node.names if alias.name.startswith("numpy."))
    return named


def slimmed(files: dict[str, bytes], kept: Iterable[str]) -> dict[str, bytes]:
    """The files of numpy's wheel without what calc never imports.

    Args:
        files: content by name.
        kept: the on-demand subpackages that stay.
    """
    patterns = list(LEFT_OUT)
    for name, owned in ON_DEMAND.items():
        if name not in kept:
            patterns.extend(owned)
    licences = ".dist-info/licenses/"
    return {
        name: content
        for name, content in files.items()
        if licences in name or not any(fnmatch(name, pattern) for pattern in patterns)
    }
