#!/bin/sh
# Makes the judges' private Python environment. A second run with the same
# requirements is instant. JUDGES_VENV chooses another place for it.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
venv=${JUDGES_VENV:-$here/.venv}
wanted=$(sha256sum "$here/requirements.txt" | cut -d' ' -f1)

if [ -x "$venv/bin/python" ] && [ "$(cat "$venv/requirements.sha256" 2>/dev/null || true)" = "$wanted" ]; then
    exit 0
fi

# The pinned scipy and numpy need Python 3.11 or later.
python=
for candidate in ${PYTHON:-} python3 python3.13 python3.12 python3.11 /usr/bin/python3; do
    if command -v "$candidate" >/dev/null 2>&1 &&
        "$candidate" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        python=$candidate
        break
    fi
done
if [ -z "$python" ]; then
    echo "install.sh: needs Python 3.11 or later with venv (Debian: apt-get install python3-venv)" >&2
    exit 1
fi

rm -rf "$venv"
"$python" -m venv "$venv"
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check --only-binary=:all: \
    --require-hashes -r "$here/requirements.txt"

# The solid kernel is linked against a few system libraries; ask for them only if it does not load.
if ! "$venv/bin/python" -c 'import OCP.BRepAlgoAPI' 2>/dev/null; then
    if command -v apt-get >/dev/null 2>&1; then
        as_root=
        [ "$(id -u)" = 0 ] || as_root=sudo
        $as_root apt-get install -y -q libgl1 libx11-6 libxext6 libxrender1 libfontconfig1 libfreetype6 >&2
    fi
    "$venv/bin/python" -c 'import OCP.BRepAlgoAPI' || {
        echo "install.sh: the solid kernel does not load; the message above names the missing library" >&2
        exit 1
    }
fi
"$venv/bin/python" -c 'import ezdxf, shapely, mpmath, scipy, skfem, numpy, pypdf, pypdfium2, zxingcpp, PIL, jsonschema, trimesh, steputils.p21'
echo "$wanted" > "$venv/requirements.sha256"
