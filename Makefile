# The two commands of a newcomer are `make run` and `make test`; the rest serves those who work on Setdown.

CARGO ?= cargo
WASM_TARGET := wasm32-unknown-unknown
TARGET_DIR := $(or $(CARGO_TARGET_DIR),target)
WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-release/setdown_entry.wasm
DESK_WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-release/setdown_desk.wasm
SOLVER_WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-solver/setdown_solver.wasm
# No file names of this machine in what is sent.
NAMELESS := --remap-path-prefix=$(or $(CARGO_HOME),$(HOME)/.cargo)/registry/src= --remap-path-prefix=$(CURDIR)=
# Views without their whole types: a tenth off the wasm.
SCREENS := RUSTFLAGS="$(RUSTFLAGS) $(NAMELESS) --cfg erase_components" $(CARGO)
# Set by `make pack DIST=...` to pack elsewhere.
DIST ?= dist
# Handed to the server: `make run ARGS="--listen 0.0.0.0:8080"`.
ARGS ?=

.PHONY: run test pack bench soak fuzz wasm-target

# Builds everything, packs the app, serves it on 127.0.0.1:8080; the first start creates data/ with the demo.
run: pack
	$(TARGET_DIR)/debug/setdown-server serve --dist $(DIST) $(ARGS)

# What CI runs: formatting, lints, every test on both databases, browser journeys. Never skips silently.
test:
	tests/run.sh

# Builds the wasm and packs it with scripts, styles and icons into $(DIST)/; nothing to do where nothing changed.
# One cargo call for packer and server, so that shared dependencies compile once.
# One call each for phone, desk and solver: in one call their features would become one.
pack: wasm-target
	$(CARGO) build -p setdown-pack -p setdown-server
	$(SCREENS) build -p setdown-entry --target $(WASM_TARGET) --profile wasm-release
	$(SCREENS) build -p setdown-desk --target $(WASM_TARGET) --profile wasm-release
	$(CARGO) build -p setdown-solver --target $(WASM_TARGET) --profile wasm-solver
	$(TARGET_DIR)/debug/setdown-pack --wasm $(WASM) --desk-wasm $(DESK_WASM) --solver-wasm $(SOLVER_WASM) --public public --style app/style/*.css --also app/src/shell.rs --out $(DIST)

# The measurements that the limits in the documentation rest on; a planning library from the Python index runs beside.
bench: pack
	[ -x tests/.venv-bench/bin/python ] || python3 -m venv tests/.venv-bench
	tests/.venv-bench/bin/python -m pip install --quiet --disable-pip-version-check -r tests/bench/requirements.txt
	$(CARGO) run --release -p setdown-tests --bin bench -- $(WHAT)

# Convergence over many more seeds than CI takes.
soak:
	SETDOWN_SOAK_RUNS=10000 $(CARGO) test -p setdown-tests --test convergence -- --nocapture

# Random bytes for the readers of routes, plans and networks: FUZZ_SECONDS each. Needs `cargo install cargo-fuzz`, a
# nightly toolchain and a C++ compiler. What it finds is kept in tests/fuzz/artifacts.
FUZZ_SECONDS ?= 60
fuzz:
	mkdir -p tests/fuzz/corpus/route tests/fuzz/corpus/plan tests/fuzz/corpus/network
	cp tests/data/route/scenes/*.json tests/fuzz/corpus/route/
	cp tests/examples/route/side-yard-legs.json tests/fuzz/corpus/plan/
	cp tests/examples/route/back-yard-tapes.json tests/fuzz/corpus/network/
	for reader in route plan network; do $(CARGO) +nightly fuzz run --fuzz-dir tests/fuzz -s none $$reader -- -max_total_time=$(FUZZ_SECONDS) -timeout=10 -max_len=16384 || exit 1; done

wasm-target:
	@rustup target list --installed 2>/dev/null | grep -qx $(WASM_TARGET) || rustup target add $(WASM_TARGET)
