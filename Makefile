# The two commands of a newcomer are `make run` and `make test`; the rest serves those who work on Setdown.

CARGO ?= cargo
WASM_TARGET := wasm32-unknown-unknown
TARGET_DIR := $(or $(CARGO_TARGET_DIR),target)
WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-release/setdown_entry.wasm
DESK_WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-release/setdown_desk.wasm
SOLVER_WASM := $(TARGET_DIR)/$(WASM_TARGET)/wasm-solver/setdown_solver.wasm
# Set by `make pack DIST=...` to pack elsewhere.
DIST ?= dist
# Handed to the server: `make run ARGS="--listen 0.0.0.0:8080"`.
ARGS ?=

.PHONY: run test pack bench soak wasm-target

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
	$(CARGO) build -p setdown-entry --target $(WASM_TARGET) --profile wasm-release
	$(CARGO) build -p setdown-desk --target $(WASM_TARGET) --profile wasm-release
	$(TARGET_DIR)/debug/setdown-pack --wasm $(WASM) --desk-wasm $(DESK_WASM) --public public --style app/style/*.css --also app/src/shell.rs --out $(DIST)

# The measurements that the limits in the documentation rest on.
bench: pack
	$(CARGO) run --release -p setdown-tests --bin bench

# Convergence over many more seeds than CI takes.
soak:
	SETDOWN_SOAK_RUNS=10000 $(CARGO) test --release -p setdown-tests convergence -- --nocapture

wasm-target:
	@rustup target list --installed 2>/dev/null | grep -qx $(WASM_TARGET) || rustup target add $(WASM_TARGET)
