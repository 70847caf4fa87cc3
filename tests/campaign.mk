# Fuzzing, other compilers, another machine, coverage, static analysis. `make check` does short forms
# of these through tests/test_*.sh; docs/robustness.md has the figures of the long ones.

# ---- fuzzing: clang's libFuzzer with the sanitizers
FUZZ_SECONDS ?= 600
FUZZ_FLAGS := -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
FUZZ_TARGETS := $(patsubst tests/fuzz/%.c,%,$(wildcard tests/fuzz/fuzz_*.c))

.PHONY: fuzz fuzz-build fuzz-targets
fuzz: fuzz-build
	@CW_BUILD=$(B) FUZZ_SECONDS=$(FUZZ_SECONDS) sh tests/fuzz/run $(FUZZ_TARGETS)

fuzz-build: bundle
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/fuzz CC=clang CFLAGS='-O1 -g' \
	        EXTRA_CFLAGS='$(FUZZ_FLAGS) -fsanitize=fuzzer-no-link' fuzz-targets

fuzz-targets: $(FUZZ_TARGETS:%=$(B)/%)

$(B)/fuzz_%: $(B)/obj/tests/fuzz/fuzz_%.o $(B)/obj/tests/fuzz/support.o $(PLUGIN_OBJ) $(CLI_LIB) $(DSP_LIB)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -fsanitize=fuzzer -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs $(CLI_PACKAGES)) -lm

# ---- requests that are refused: the linker puts the test's functions before the C library's, in the
# program's own code only
$(B)/tests/test_faults: EXTRA_LDFLAGS += $(patsubst %,-Wl$(comma)--wrap=%,malloc calloc realloc strdup strndup fopen fdopen \
        opendir mkstemp mkdtemp)
comma := ,
