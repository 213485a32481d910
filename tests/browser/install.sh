#!/usr/bin/env bash
# Makes sure of a browser and of the packages that drive it. A second run is instant.
set -euo pipefail
cd "$(dirname "$0")"

if ! command -v chromium >/dev/null; then
    if [ "$(id -u)" != 0 ]; then
        echo "chromium is missing: install Debian's package chromium, then run again" >&2
        exit 2
    fi
    apt-get update -qq && apt-get install -y -qq chromium >/dev/null
fi
[ -d node_modules/playwright-core ] && [ -d node_modules/axe-core ] && [ -d node_modules/three ] || npm ci --silent
