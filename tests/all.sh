#!/usr/bin/env bash
# Sets up everything the tests need on a Debian machine, and runs them. Further words go to pytest.
set -euo pipefail
cd "$(dirname "$0")/.."

needed=(icc-profiles-free poppler-utils qpdf chromium chromium-driver)
missing=()
for package in "${needed[@]}"; do
    dpkg -s "$package" >/dev/null 2>&1 || missing+=("$package")
done
as_root() { if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi }
if [ ${#missing[@]} -gt 0 ] && ! { as_root apt-get update -qq &&
        as_root apt-get install -y -qq "${missing[@]}"; } 2>/dev/null; then
    echo "Not installed, so the tests that need them are left out: ${missing[*]}." \
        "As root: apt-get install ${missing[*]}" >&2
fi

[ -x .venv/bin/python ] || python3 -m venv .venv
.venv/bin/python -m pip install --quiet --editable '.[dev,cluster]'
# An installed copy that this replaces leaves its compiled code behind, which would hide the code here.
for left in .venv/lib/python*/site-packages/{preflight,separations}; do
    [ -e "$left/__init__.py" ] || rm -rf "$left"
done

if [ "${1:-}" = --set-up-only ]; then
    exit 0
fi
.venv/bin/python -m pytest --numprocesses 2 --dist loadfile --no-loadscope-reorder "$@"
