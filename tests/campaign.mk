# SPDX-License-Identifier: ISC
# Browsers, fuzzing, other compilers, another machine, coverage, static analysis. `make check` does short forms
# of these through tests/test_*.sh; docs/robustness.md has the figures of the long ones.

# ---- the listening page in a second engine, and on a sound device of another rate
.PHONY: check-browsers
check-browsers:
	@$(SETUP) build judge browser
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_TIMED=1 CW_PROGRAM=$(PROGRAM) bash tests/browsers.sh
	@CW_TIMED=1 CW_BUILD=$(B) sh tests/run tests/test_page.sh tests/test_live.sh

# ---- which lines of the pages' scripts the tests run: at least 95 %
.PHONY: coverage-pages
coverage-pages:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_BUILD=$(B) JOBS=$(JOBS) sh tests/page_coverage.sh

# ---- 1,000 letters without names: nothing but the sound tells which is which
.PHONY: check-letters
check-letters:
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_PROGRAM=$(PROGRAM) JOBS=$(JOBS) bash tests/letters.sh

# ---- fuzzing: clang's libFuzzer with the sanitizers
FUZZ_SECONDS ?= 600
FUZZ_FLAGS := -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
FUZZ_TARGETS := $(patsubst tests/fuzz/%.c,%,$(wildcard tests/fuzz/fuzz_*.c))

.PHONY: fuzz fuzz-build fuzz-targets
fuzz: fuzz-build
	@CW_BUILD=$(B) FUZZ_SECONDS=$(FUZZ_SECONDS) sh tests/fuzz/run $(FUZZ_TARGETS)

fuzz-build: bundle
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/fuzz CC=clang CFLAGS='-O2 -g' \
	        EXTRA_CFLAGS='$(FUZZ_FLAGS) -fsanitize=fuzzer-no-link' fuzz-targets

fuzz-targets: $(FUZZ_TARGETS:%=$(B)/%)

# A digest has no branches to learn; its comparisons, counted, were half of the time of some targets.
ifneq ($(findstring fuzzer-no-link,$(EXTRA_CFLAGS)),)
$(B)/obj/workshop/sha256.o: override EXTRA_CFLAGS += -fno-sanitize=fuzzer-no-link
endif

$(B)/fuzz_%: $(B)/obj/tests/fuzz/fuzz_%.o $(B)/obj/tests/fuzz/support.o $(PLUGIN_OBJ) $(CLI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -fsanitize=fuzzer -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs $(CLI_PACKAGES)) $(DL) -lm

# ---- designs of random pairs: ten million are some six minutes of one processor
DESIGNS ?= 10000000
DESIGNS_SEED ?= 1
.PHONY: check-designs
check-designs: $(B)/campaign/designs
	@$< $(DESIGNS) $(DESIGNS_SEED)

$(B)/campaign/designs: $(B)/obj/tests/campaign/designs.o $(SUPPORT_LIB) $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) -lm

# ---- a day of playing, automation, presets, rates and windows in accelerated time; SESSION_HOURS=0.05 under valgrind
SESSION_HOURS ?= 24
SESSION_SEED ?= 1
.PHONY: check-session
check-session: bundle $(B)/campaign/session
	@CW_BUNDLE=$(BUNDLE) LV2_PATH=$(abspath $(B)/lv2) $(SESSION_RUN) $(B)/campaign/session $(SESSION_HOURS) $(SESSION_SEED)

$(B)/campaign/session: $(B)/obj/tests/campaign/session.o $(SUPPORT_LIB) $(UI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs lilv-0 cairo kissfft-float) -lm

# ---- requests that are refused: the linker puts the test's functions before the C library's, in the
# program's own code only
$(B)/tests/test_faults: override EXTRA_LDFLAGS += $(patsubst %,-Wl$(comma)--wrap=%,malloc calloc realloc strdup strndup fopen fdopen \
        opendir mkstemp mkdtemp)

# ---- the model's own tests, which need nothing but it: by other compilers, on another machine
MODEL_TESTS := circuit coil inductance material parallel transfer wire ear
MODEL_SUPPORT := tests/support/setups.c tests/support/spectrum.c tests/support/cookbook.c

# A test in one go from its sources: $(call model_program,compiler,flags,libraries)
define model_program
@mkdir -p $(@D)
$(call say,CC+L)
$(Q)$(1) $(filter-out -MMD -MP,$(BASE)) $(2) -Itests/support -o $@ $< $(MODEL_SUPPORT) $(wildcard dsp/*.c) $(3) -lm
endef

COMPILERS ?= gcc-O0 gcc-O3 clang-O0 clang-O3
COMPILED := $(foreach c,$(COMPILERS),$(MODEL_TESTS:%=$(B)/compilers/$(c)/test_%))
$(B)/compilers/gcc-%: CC_OF = gcc
$(B)/compilers/clang-%: CC_OF = clang
$(COMPILED): $(wildcard dsp/*.[ch] dsp/*.inc dsp/*.def) $(MODEL_SUPPORT)
$(foreach c,$(COMPILERS),$(eval $(B)/compilers/$(c)/test_%: tests/test_%.c ; $$(call model_program,$(word 1,$(subst -, ,$(c))),-$(word 2,$(subst -, ,$(c))) -Werror $$(call PC,--cflags cmocka),$$(call PC,--libs cmocka))))

# Other machines, and another C library, built as the plugin is and linked statically; RUN_... runs it, where this
# processor does not. MIPS: 32 bits, big-endian. (32-bit PowerPC would do, but for an instruction of its atan() that this
# qemu does not know.) AArch64 fuses products and sums in the audio loop.
MACHINES ?= mips i686 aarch64 musl
CC_mips ?= mips-linux-gnu-gcc
RUN_mips ?= qemu-mips-static
CC_i686 ?= i686-linux-gnu-gcc -msse2 -mfpmath=sse
RUN_i686 ?= $(if $(filter x86_64 i686,$(shell uname -m)),,qemu-i386-static)
CC_aarch64 ?= aarch64-linux-gnu-gcc
RUN_aarch64 ?= qemu-aarch64-static
CC_musl ?= musl-gcc
RUN_musl ?=
FOREIGN_TESTS := denormals core guard orders rod rods $(MODEL_TESTS)
FOREIGN := $(FOREIGN_TESTS:%=$(B)/foreign/test_%)
$(FOREIGN): $(MODEL_SUPPORT) tests/support/exact_wound.c tests/support/rod.c tests/foreign/cmocka.h $(DSP_LIB)
$(B)/foreign/test_%: tests/test_%.c
	@mkdir -p $(@D)
	$(call say,CC+L)
	$(Q)$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) -Iplugin -Itests/support -Itests/foreign -static -o $@ $< \
	        $(filter tests/support/%.c,$^) $(DSP_LIB) -lm
$(B)/foreign/sound: tests/campaign/sound.c plugin/learned_bytes.c tests/support/setups.c $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,CC+L)
	$(Q)$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) -Iplugin -Itests/support -static -o $@ $^ -lm

# The whole of it: every compiled test by each compiler and optimisation.
.PHONY: check-compilers check-foreign compiled foreign $(MACHINES:%=check-foreign-%) $(MACHINES:%=foreign-%)
compiled: $(COMPILED)
foreign: $(FOREIGN) $(B)/foreign/sound
check-compilers:
	@$(SETUP) build test judge
	@for c in $(COMPILERS); do \
	    $(MAKE) -j $(JOBS) --no-print-directory B=$(B)/compilers/all-$$c CC=$${c%-*} CFLAGS=-$${c#*-} all tests && \
	    CW_BUILD=$(B)/compilers/all-$$c JOBS=$(JOBS) CW_BRIEF=1 sh tests/run \
	        $(patsubst $(B)/%,$(B)/compilers/all-$$c/%,$(TESTS)) || exit 1; \
	done
check-foreign:
	@$(SETUP) build test judge foreign
	@for m in $(MACHINES); do $(MAKE) --no-print-directory check-foreign-$$m || exit 1; done
	@for m in $(PROGRAM_MACHINES) musl; do $(MAKE) --no-print-directory check-foreign-program-$$m || exit 1; done
$(MACHINES:%=check-foreign-%): check-foreign-%: foreign-% $(B)/foreign/sound
	@for t in $(FOREIGN_TESTS); do echo "$* $$t"; CW_BRIEF=1 $(RUN_$*) $(B)/$*/foreign/test_$$t || exit 1; done
	@bash tests/foreign/sound.sh $* $(B)/foreign/sound $(RUN_$*) -- $(B)/$*/foreign/sound
$(MACHINES:%=foreign-%): foreign-%:
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/$* CC='$(CC_$*)' foreign

# The whole program with Debian's libraries of that machine: the same texts, tables and digests as here. S390x, of 64 bits, is
# the big-endian one that has them.
PROGRAM_MACHINES ?= i686 aarch64 s390x
CC_s390x ?= s390x-linux-gnu-gcc
RUN_s390x ?= qemu-s390x-static
DEBIAN_i686 := i386
DEBIAN_aarch64 := arm64
DEBIAN_s390x := s390x
LOADER_i686 := ld-linux.so.2
LOADER_aarch64 := ld-linux-aarch64.so.1
LOADER_s390x := ld64.so.1
LIBRARIES = $(abspath $(B))/foreign-libraries/$*
TRIPLE = $(shell $(firstword $(CC_$*)) -print-multiarch)
.PHONY: $(PROGRAM_MACHINES:%=check-foreign-program-%)
$(PROGRAM_MACHINES:%=check-foreign-program-%): check-foreign-program-%: $(PROGRAM)
	@echo "$* program"
	@bash tests/foreign/libraries.sh $(DEBIAN_$*) $(LIBRARIES) || echo "SKIP: the program on $*: its libraries could not be had"
	@test ! -e $(LIBRARIES)/complete || { \
	    PKG_CONFIG_SYSROOT_DIR=$(LIBRARIES) PKG_CONFIG_LIBDIR=$(LIBRARIES)/usr/lib/$(TRIPLE)/pkgconfig:$(LIBRARIES)/usr/share/pkgconfig \
	    $(MAKE) -j $(JOBS) --no-print-directory B=$(B)/$*/program CC='$(CC_$*) --sysroot=$(LIBRARIES)' \
	        LDFLAGS=-Wl,-rpath-link,$(LIBRARIES)/lib/$(TRIPLE):$(LIBRARIES)/usr/lib/$(TRIPLE) $(B)/$*/program/coilwright && \
	    bash tests/foreign/program.sh $(PROGRAM) $(RUN_$*) $(LIBRARIES)/lib/$(LOADER_$*) \
	        --library-path $(LIBRARIES)/lib/$(TRIPLE):$(LIBRARIES)/usr/lib/$(TRIPLE) -- $(B)/$*/program/coilwright; }

# With musl everything is compiled without a warning against its headers and those of the libraries alone, and every compiled
# test passes, but for two: of hosts, which load the other C library, and of calls caught by names that musl has not.
MUSL := $(abspath $(B))/musl/libraries
MUSL_TESTS := $(filter-out $(B)/tests/test_hosts $(B)/tests/test_realtime,$(TESTS))
MUSL_TESTS_THERE := $(MUSL_TESTS:$(B)/%=$(B)/musl/program/%)
.PHONY: check-foreign-program-musl
check-foreign-program-musl: $(PROGRAM) bundle $(B)/tests/test_ui
	@echo "musl program"
	@bash tests/foreign/musl_libraries.sh $(MUSL) $(PROGRAM) $(BUNDLE)/coilwright_ui.so $(B)/tests/test_ui
	@PKG_CONFIG_SYSTEM_INCLUDE_PATH=/usr/include:/usr/include/$$(gcc -print-multiarch) \
	    $(MAKE) -j $(JOBS) --no-print-directory B=$(B)/musl/program CC='musl-gcc -idirafter $(MUSL)/include' EXTRA_CFLAGS=-Werror \
	    LDFLAGS='-L$(MUSL)/lib -Wl,-rpath,$(MUSL)/lib -Wl,--allow-shlib-undefined -Wl,--no-as-needed -lglibc_names' \
	    all $(MUSL_TESTS_THERE)
	@bash tests/foreign/program.sh $(PROGRAM) -- $(B)/musl/program/coilwright
	@CW_BUILD=$(B)/musl/program JOBS=$(JOBS) CW_BRIEF=1 sh tests/run $(MUSL_TESTS_THERE)

# ---- processors of two makers, old and new, by emulation beside the one at hand: the same sound, texts, tables and digests; the
# sound as it is built for this one alone, and by the other compiler, too.
# The first three are without AVX2 and fused operations. (Their makers' lists of features hold some that
# qemu has not and programs do not see: check=off.)
PROCESSORS ?= Opteron_G1 Nehalem SandyBridge Haswell EPYC
.PHONY: check-processors
check-processors:
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory all $(B)/foreign/sound
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/native CFLAGS='$(CFLAGS) -march=native' $(B)/native/foreign/sound
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/clang CC=clang $(B)/clang/foreign/sound
	@for c in native clang; do bash tests/foreign/sound.sh "built $$c" $(B)/foreign/sound -- $(B)/$$c/foreign/sound || exit 1; done
	@for p in $(PROCESSORS); do \
	    bash tests/foreign/sound.sh $$p $(B)/foreign/sound qemu-x86_64-static -cpu $$p,check=off -- $(B)/foreign/sound && \
	    echo "$$p program" && \
	    bash tests/foreign/program.sh $(PROGRAM) qemu-x86_64-static -cpu $$p,check=off -- $(PROGRAM) || exit 1; \
	done

# ---- instructions for a sample, here, without AVX2, and on AArch64
.PHONY: count-instructions
count-instructions: $(B)/campaign/instructions
	@$(SETUP) build judge foreign
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/aarch64 CC='$(CC_aarch64)' LDFLAGS=-static \
	        $(B)/aarch64/campaign/instructions
	@bash tests/instructions.sh $< $(B)/aarch64/campaign/instructions

$(B)/campaign/instructions: tests/campaign/instructions.c $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,CC+L)
	$(Q)$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) -o $@ $^ $(ALL_LDFLAGS) -lm

# ---- two real windows and audio, a minute each under the address, undefined-behaviour and thread sanitizers
WINDOW_SECONDS ?= 60
WINDOW_SEED ?= 1
.PHONY: check-windows
check-windows:
	@$(SETUP) build test judge
	@for s in address,undefined thread; do echo "windows and audio, -fsanitize=$$s"; \
	    $(MAKE) -j $(JOBS) --no-print-directory B=$(B)/windows-$${s%,*} CC=gcc CFLAGS='-O1 -g' \
	        EXTRA_CFLAGS="-fsanitize=$$s -fno-omit-frame-pointer $$([ $$s = thread ] || echo -fno-sanitize-recover=undefined)" \
	        windows && \
	    CW_BUNDLE=$(B)/windows-$${s%,*}/lv2/coilwright.lv2 LV2_PATH=$(abspath $(B))/windows-$${s%,*}/lv2 \
	        CW_WINDOW_SECONDS=$(WINDOW_SECONDS) CW_WINDOW_SEED=$(WINDOW_SEED) \
	        bash tests/windows.sh $(B)/windows-$${s%,*}/campaign/windows || exit 1; \
	done

.PHONY: windows
windows: bundle $(B)/campaign/windows
$(B)/campaign/windows: $(B)/obj/tests/campaign/windows.o $(SUPPORT_LIB) $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs lilv-0 cmocka x11) $(DL) -lm

# ---- the search for windable specs against trying everything, on 50 random targets
# (some minutes), and pickups found in 40 pairs of recordings
.PHONY: check-match
check-match: $(B)/tests/test_wind
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_WIND_TARGETS=50 $(B)/tests/test_wind
	@CW_PROGRAM=$(PROGRAM) CW_BUILD=$(B) CW_TAKE_PAIRS=40 bash tests/test_match_takes.sh

# ---- coverage: every test that is compiled, and the scripts but for those that look at sources or build anew; at least
# 95 % of the lines of each room
NOT_COVERING := build_safety compilers faults fuzz house install lanes plugin_build plugin_sanitized plugin_valgrind release \
        scripts static threads ui_valgrind words
COVERAGE_TESTS ?= $(patsubst $(B)/%,$(B)/coverage/%,$(TESTS)) \
        $(filter-out $(NOT_COVERING:%=tests/test_%.sh),$(sort $(wildcard tests/test_*.sh)))
.PHONY: coverage
coverage:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/coverage CC=gcc CFLAGS='-O1 -g' EXTRA_CFLAGS=--coverage \
	        EXTRA_LDFLAGS=--coverage all tests
	@find $(B)/coverage -name '*.gcda' -exec rm -f {} +
	@CW_BUILD=$(B)/coverage JOBS=$(JOBS) CW_BRIEF=1 sh tests/run $(COVERAGE_TESTS) || true
	@$(MAKE) --no-print-directory coverage-report

# The same again, of what has run so far: lines that are missing stand in coverage.txt.
.PHONY: coverage-report
coverage-report:
	@gcovr --root . --filter 'dsp/' --filter 'workshop/' --filter 'plugin/' --filter 'cli/' --exclude 'dsp/tables/' \
	        --object-directory $(B)/coverage --csv $(B)/coverage.csv --txt $(B)/coverage.txt $(B)/coverage
	@awk -F, 'NR > 1 { split($$1, room, "/"); lines[room[1]] += $$2; run[room[1]] += $$3 } \
	    END { for (r in lines) { share = 100 * run[r] / lines[r]; low += share < 95; \
	        printf "%s: %d of %d lines, %.1f %%\n", r, run[r], lines[r], share } exit low > 0 }' $(B)/coverage.csv

# ---- fits of 200 simulated instruments at two noises, some minutes; a seed of one's own: FIT_SEED=...
FIT_SEED ?= 30491
.PHONY: check-fit
check-fit:
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_PROGRAM=$(PROGRAM) CW_BUILD=$(B) CW_FIT_COUNT=200 CW_FIT_SEED=$(FIT_SEED) JOBS=$(JOBS) bash tests/test_fit.sh

# ---- the database of readings: 500 kills at random, and every write, sync and removal failing with 50 power cuts each
KILLS ?= 500
.PHONY: check-database
check-database:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory all $(B)/tests/test_database
	@CW_DATABASE_SEEDS=50 $(B)/tests/test_database
	@CW_PROGRAM=$(PROGRAM) CW_KILLS=$(KILLS) bash tests/test_history.sh

# ---- computed strings through three splits in three places, beside what the split itself would give
.PHONY: check-strings
check-strings:
	@$(SETUP) build judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_TIMED=1 CW_BUILD=$(B) CW_STRINGS=all sh tests/run tests/test_strings.sh

# ---- larger hosts: sessions, presets, export; a session in the window, in jalv and in each of them
.PHONY: check-hosts
check-hosts:
	@$(SETUP) build judge hosts
	@$(MAKE) -j $(JOBS) --no-print-directory all $(B)/tests/test_ui_window
	@CW_TIMED=1 CW_BUILD=$(B) sh tests/run tests/hosts.sh $(sort $(wildcard tests/hosts_*.sh))

# ---- the release: the archive of the last commit made twice, built and tested from it alone; RELEASE_TESTS=all for every
# test
RELEASE_TESTS ?= $(addprefix build/tests/,test_ttl test_seal test_circuit test_parallel test_plugin test_cli) \
        tests/test_release.sh tests/test_presets.sh tests/test_seal.sh tests/test_install.sh
.PHONY: check-release freeze
check-release:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@CW_BUILD=$(B) CW_PROGRAM=$(PROGRAM) JOBS=$(JOBS) RELEASE_TESTS='$(RELEASE_TESTS)' bash tests/release.sh

# What a release makes permanent, added to the lists of it.
freeze: bundle
	@bash tests/support/freeze.sh $(VERSION) $(BUNDLE)
