"""Which parts of Python's standard library travel to the browser.

What numpy, calc and Pyodide import stays, found by running every form, and a margin of what calc may well come to want.
All else goes: a module that is missing fails plainly, and the tests import every module of calc and run every form.
"""

from fnmatch import fnmatch

# Modules and packages that are imported when every form has been run.
USED = {
    "__future__", "_collections_abc", "_colorize", "_compat_pickle", "_opcode_metadata", "_py_warnings", "_pyodide",
    "_ssl", "_sysconfigdata__emscripten_wasm32-emscripten", "_weakrefset", "abc", "annotationlib", "ast", "asyncio",
    "base64", "bisect", "bz2", "codecs", "codeop", "collections", "compression", "concurrent", "contextlib",
    "contextvars", "copy", "copyreg", "csv", "ctypes", "dataclasses", "datetime", "dis", "email", "encodings",
    "enum", "fnmatch", "functools", "genericpath", "glob", "heapq", "hmac", "importlib", "inspect", "io", "json",
    "keyword", "linecache", "locale", "logging", "lzma", "numbers", "opcode", "operator", "os", "pathlib", "pickle",
    "pkgutil", "platform", "posixpath", "pyodide", "random", "re", "reprlib", "secrets", "selectors", "shutil",
    "signal", "site", "socket", "ssl", "stat", "string", "struct", "subprocess", "sysconfig", "tarfile", "tempfile",
    "textwrap", "threading", "token", "tokenize", "traceback", "types", "typing", "urllib", "warnings", "weakref",
    "zipfile", "zipimport",
}  # fmt: skip

# What calc does not import yet and may: they are small.
MARGIN = {
    "_strptime", "calendar", "decimal", "fractions", "gzip", "hashlib", "ipaddress", "pprint", "queue", "statistics",
}  # fmt: skip

# Parts of those packages that a page never comes to.
LEFT_OUT = (
    "asyncio/windows_*",
    "asyncio/proactor_events.py",
    "asyncio/__main__.py",
    "asyncio/tools.py",
    "collections/__main__.py",
    "concurrent/futures/process.py",
    "concurrent/futures/interpreter.py",
    "concurrent/interpreters/*",
    "ctypes/macholib/*",
    "ctypes/_aix.py",
    "email/*/*",
    "email/[!_]*",
    "email/_[!_]*",
    "encodings/[!_]*",
    "ctypes/util.py",
    "ctypes/wintypes.py",
    "importlib/metadata/_adapters.py",
    "json/tool.py",
    "logging/config.py",
    "logging/handlers.py",
    "pyodide/_nodesock_transport.py",
    "pyodide/console.py",
    "sysconfig/__main__.py",
    "urllib/request.py",
    "urllib/robotparser.py",
    "*.txt",
    "*.bat",
    "*.ini",
    "*.typed",
)

ENCODINGS = (
    "aliases",
    "ascii",
    "cp437",
    "latin_1",
    "raw_unicode_escape",
    "unicode_escape",
    "utf_8",
    "utf_8_sig",
    "utf_16",
)
"""Of a hundred character sets; cp437 is that of names in zip files."""


def slimmed(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files of the standard library without what a page never imports."""
    kept = USED | MARGIN
    encodings = {f"encodings/{name}.py" for name in ENCODINGS}
    return {
        name: content
        for name, content in files.items()
        if name in encodings
        or (name.split("/")[0].removesuffix(".py") in kept and not any(fnmatch(name, pattern) for pattern in LEFT_OUT))
    }
