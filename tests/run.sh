#!/usr/bin/env bash
# Everything CI checks. What is missing on the machine is installed with apt where that is possible; otherwise the
# package is named and the run fails: nothing is skipped.
set -euo pipefail
cd "$(dirname "$0")/.."

step() { printf '\n== %s\n' "$*"; }

# The prefix that makes a command run as root, or failure.
as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"
  elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then sudo -n "$@"
  else return 1
  fi
}

updated=no
# need PACKAGE TEST...: runs TEST; where it fails, installs PACKAGE and runs it again.
need() {
  local package=$1
  shift
  if "$@" >/dev/null 2>&1; then return 0; fi
  if command -v apt-get >/dev/null; then
    if [ "$updated" = no ]; then as_root apt-get update -qq || true; updated=yes; fi
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$package" || true
  fi
  if "$@" >/dev/null 2>&1; then return 0; fi
  echo "make test needs the package '$package' (or its like on this system) and may not install it. Install it, then run again." >&2
  exit 1
}

has_browser() { command -v chromium || command -v chromium-browser || command -v google-chrome; }
has_driver() { command -v chromedriver || [ -x /usr/lib/chromium/chromedriver ]; }
has_postgresql() { command -v initdb || ls /usr/lib/postgresql/*/bin/initdb; }
has_venv() { python3 -c 'import ensurepip, venv'; }

step "tools"
need chromium has_browser
need chromium-driver has_driver
need postgresql has_postgresql
need python3-venv has_venv
rustup component add rustfmt clippy >/dev/null 2>&1 || true

step "python environment (pinned oracles)"
stamp=tests/.venv/requirements.installed
if ! cmp -s tests/requirements.txt "$stamp"; then
  [ -x tests/.venv/bin/python ] || python3 -m venv tests/.venv
  tests/.venv/bin/python -m pip install --quiet --disable-pip-version-check -r tests/requirements.txt
  cp tests/requirements.txt "$stamp"
fi

step "formatting"
cargo fmt --all --check

step "the packed app"
make pack

step "lints"
cargo clippy --workspace --exclude setdown-entry --exclude setdown-desk --exclude setdown-solver --all-targets -- -D warnings
cargo clippy -p setdown-entry -p setdown-app --target wasm32-unknown-unknown -- -D warnings
cargo clippy -p setdown-desk -p setdown-app --target wasm32-unknown-unknown -- -D warnings
cargo clippy -p setdown-solver --target wasm32-unknown-unknown -- -D warnings

step "tests"
cargo test --workspace --exclude setdown-entry --exclude setdown-desk --exclude setdown-solver
