# SPDX-License-Identifier: ISC
# Coilwright. `make audition` and `make check` do all the set-up themselves; see README.md and
# DEVELOPERS.md.
CC ?= cc
CFLAGS ?= -O2 -g
PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
LV2DIR ?= $(LIBDIR)/lv2
BINDIR ?= $(PREFIX)/bin
MANDIR ?= $(PREFIX)/share/man
DOCDIR ?= $(PREFIX)/share/doc
# Where the shells look for completions.
BASHCOMPDIR ?= $(PREFIX)/share/bash-completion/completions
ZSHCOMPDIR ?= $(PREFIX)/share/zsh/site-functions
FISHCOMPDIR ?= $(PREFIX)/share/fish/vendor_completions.d
INSTALL ?= install
# Jobs of the compiler and of the test runner.
JOBS ?= 2
# Installs what a target needs; SETUP=true skips it.
SETUP ?= sh .ci/setup
B ?= build
ifneq ($(words $(B)),1)
$(error B: expected a directory for the build, its path without spaces, found '$(B)')
endif

# Major, minor and micro; the last two are the plugin's LV2 version, where even numbers are releases.
VERSION := 1.0.0
comma := ,
WARN := -Wall -Wextra -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
# Errors of maths functions are never read, so errno need not be set; NaN semantics stay. No fused
# operations are made up by the compiler: a block must give the same bits however it is cut. Files beyond 2 GB, and
# years beyond 2038, on 32-bit machines too.
BASE := -std=c11 -D_POSIX_C_SOURCE=200809L -D_FILE_OFFSET_BITS=64 -D_TIME_BITS=64 $(WARN) -fno-math-errno -ffp-contract=off -fvisibility=hidden -pthread -MMD -MP \
        -DCW_VERSION='"$(VERSION)"' -Idsp -Iworkshop -Iworkshop/plot -Iworkshop/page
# Hardening, and no path of this machine in the debug information, where the compiler knows how; HARDENING=none leaves
# it out. FORTIFY wants an optimising compiler and gets in the sanitizers' way.
able = $(shell echo 'int main(void){return 0;}' | $(CC) -Werror $(1) -x c - -o /dev/null 2>/dev/null && echo '$(1)')
ifndef HARDENING
HARDENING := $(call able,-fstack-protector-strong) $(call able,-ffile-prefix-map=$(CURDIR)=.) \
        $(if $(findstring -fsanitize,$(EXTRA_CFLAGS)),,$(if $(filter -O1 -O2 -O3 -Os,$(CFLAGS)),$(if \
        $(findstring FORTIFY,$(CFLAGS)),,-U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=2)))
HARDENED_LINK := $(call able,-Wl$(comma)-z$(comma)relro -Wl$(comma)-z$(comma)now)
endif
ALL_CFLAGS = $(BASE) $(filter-out none,$(HARDENING)) $(CFLAGS) $(EXTRA_CFLAGS)
ALL_LDFLAGS = $(HARDENED_LINK) $(LDFLAGS) $(EXTRA_LDFLAGS)

# What dlopen() needs, where the C library has it apart.
DL := $(shell echo 'void *dlopen(const char *, int); int main(void) { return !dlopen("x", 1); }' | \
        $(CC) -x c - -o /dev/null 2>/dev/null || echo -ldl)

# One short line for each thing made; V=1 shows the commands.
Q := $(if $(V),,@)
say = $(if $(V),,@echo '  $(1)  $@')

# Asked of pkg-config only when a rule needs it: on a fresh machine it is not there yet.
PC = $(shell pkg-config $(1))
CLI_PACKAGES = lilv-0 serd-0 sndfile cairo libebur128 kissfft-float cminpack libsodium libqrencode $(SQLITE)
TEST_PACKAGES = cmocka x11 lv2 $(CLI_PACKAGES)
# Readings of batches are kept by it; empty, or where it is not there (STRICT tables came with 3.37), all else works.
SQLITE ?= $(shell pkg-config --exists 'sqlite3 >= 3.37' && echo sqlite3)

BUNDLE := $(B)/lv2/coilwright.lv2
PROGRAM := $(B)/coilwright
PRESETS := $(sort $(wildcard presets/*.ttl))

# By byte, as $(sort) does it; $(wildcard) follows the locale, and the order of objects is in the binary.
objects = $(patsubst %.c,$(B)/obj/%.o,$(sort $(wildcard $(1))))
DSP_OBJ := $(call objects,dsp/*.c)
PLUGIN_OBJ := $(call objects,plugin/*.c)
PAGE_TEXTS := $(addprefix $(B)/page/,$(addsuffix .c,listen_html listen_css listen_js letter_html letter_css letter_js \
        live_html live_css live_js live_worklet_js live_wasm \
        live_notices))
WORKSHOP_OBJ := $(call objects,workshop/*.c workshop/plot/*.c) $(PAGE_TEXTS:.c=.o)
# The window, in two parts: what talks to the host and to X, and the rest, which tests can call.
UI_GLUE_OBJ := $(call objects,plugin/ui/letters.c plugin/ui/ui.c plugin/ui/window.c)
UI_OBJ := $(filter-out $(UI_GLUE_OBJ),$(call objects,plugin/ui/*.c))
CLI_OBJ := $(call objects,cli/*.c)
# The plugin without its descriptor, for tests that stand in for it.
PLUGIN_LIB := $(B)/libplugin.a
SUPPORT_OBJ := $(call objects,tests/support/*.c)
DSP_LIB := $(B)/libcoilwright.a
WORKSHOP_LIB := $(B)/libworkshop.a
# All of the program but main(), so that tests can call its functions; and what only tests use.
CLI_LIB := $(B)/libcommands.a
UI_LIB := $(B)/libwindow.a
SUPPORT_LIB := $(B)/libsupport.a
TESTS := $(patsubst tests/%.c,$(B)/tests/%,$(wildcard tests/test_*.c))

.PHONY: all
all: $(PROGRAM) bundle completions

# The core is worth unrolling and vectorising. The audio loop may fuse: every block goes through
# the same loop, so its cut does not show.
$(DSP_OBJ): CORE_CFLAGS = $(if $(filter -O2,$(CFLAGS)),-O3)
$(B)/obj/dsp/parallel.o: CORE_CFLAGS += -ffp-contract=fast
# But the network's polynomials are short: to begin and to end a loop over vectors costs them more than they save.
$(B)/obj/dsp/circuit.o $(B)/obj/dsp/source.o: CORE_CFLAGS =

$(B)/obj/dsp/%.o: dsp/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) $(CORE_CFLAGS) -fPIC -c -o $@ $<

# Pure answers that the faces share; it draws by cairo.
$(B)/obj/workshop/%.o: workshop/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) $(call PC,--cflags cairo kissfft-float cminpack) -fPIC -c -o $@ $<

# The pages' own files, as bytes inside the program; the scripts of a page become one.
$(B)/page/listen_html.c: workshop/page/listen.html
$(B)/page/listen_css.c: workshop/page/listen.css
$(B)/page/listen_js.c: $(addprefix workshop/page/,common.js clips.js engine.js plot.js listen.js)
$(B)/page/letter_html.c: workshop/page/letter.html
$(B)/page/letter_css.c: $(addprefix workshop/page/,listen.css letter.css)
$(B)/page/letter_js.c: $(addprefix workshop/page/,common.js clips.js engine.js letter.js)
$(B)/page/live_html.c: workshop/page/live.html
$(B)/page/live_css.c: $(addprefix workshop/page/,listen.css live.css)
$(B)/page/live_js.c: $(addprefix workshop/page/,common.js clips.js engine.js plot.js core.js live.js)
$(B)/page/live_worklet_js.c: $(addprefix workshop/page/,core.js worklet.js)
$(B)/page/live_wasm.c: $(B)/page/core.wasm
$(B)/page/live_notices.c: workshop/page/notices.txt
$(PAGE_TEXTS): workshop/page/embed Makefile
	@mkdir -p $(@D)
	$(call say,TEXT)
	$(Q)sh workshop/page/embed cw_$(basename $(@F)) $(filter %.html %.css %.js %.wasm %.txt,$^) > $@.new
	@mv $@.new $@

# The core as WebAssembly, for the live page; an empty file where a tool for it is missing, which
# $(B)/page/wasm-tools tells. Not linked through clang: where binaryen is installed it would call wasm-opt,
# which refuses vectors. assert() would ask for a place to print.
WASM_CC ?= clang
WASM_LD ?= wasm-ld
WASM_SYSROOT ?= /usr
WASM_SOURCES := $(sort $(wildcard dsp/*.c)) $(addprefix workshop/,$(addsuffix .c,choice control curve escape figure_words \
        near known no_cable numbers pages paper preset_text quantity session_text settings_text utf8)) workshop/page/live.c
WASM_FLAGS := --target=wasm32-wasi --sysroot=$(WASM_SYSROOT) -std=c11 -O3 -DNDEBUG -msimd128 -fno-math-errno \
        -ffp-contract=off -fvisibility=hidden -Idsp -Iworkshop -Iworkshop/page
WASM_OBJ := $(WASM_SOURCES:%.c=$(B)/wasm/%.o)
WASM_EXPORTS = $(addprefix --export=,$(shell grep -o 'cw_live_[a-z_]*' workshop/page/live.h | sort -u))

.PHONY: FORCE
$(B)/page/wasm-tools: FORCE
	@mkdir -p $(@D)
	@sh workshop/page/wasm-tools '$(WASM_CC)' '$(WASM_LD)' '$(WASM_SYSROOT)' > $@.new
	@cmp -s $@.new $@ && rm $@.new || mv $@.new $@

$(B)/wasm/%.o: %.c $(B)/page/wasm-tools Makefile
	@mkdir -p $(@D)
	$(call say,WASM)
	$(Q)$(WASM_CC) $(WASM_FLAGS) -MMD -MP -c -o $@ $<

ifeq ($(shell sh workshop/page/wasm-tools '$(WASM_CC)' '$(WASM_LD)' '$(WASM_SYSROOT)'),)
$(B)/page/core.wasm: $(WASM_OBJ) workshop/page/live.h
	$(call say,LINK)
	$(Q)$(WASM_LD) --no-entry --strip-all --gc-sections --stack-first -z stack-size=131072 $(WASM_EXPORTS) \
	        -L$(WASM_SYSROOT)/lib/wasm32-wasi -o $@ $(WASM_OBJ) -lc \
	        $$($(WASM_CC) --target=wasm32-wasi --rtlib=compiler-rt -print-libgcc-file-name)
else
$(B)/page/core.wasm: $(B)/page/wasm-tools
	@: > $@
endif

$(B)/page/%.o: $(B)/page/%.c
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) -fPIC -c -o $@ $<

# The window.
$(B)/obj/plugin/ui/%.o: plugin/ui/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) -Iplugin $(call PC,--cflags cairo x11 lv2 kissfft-float) -fPIC -c -o $@ $<

$(B)/obj/plugin/%.o: plugin/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) $(call PC,--cflags lv2) -fPIC -c -o $@ $<

$(B)/obj/cli/%.o: cli/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) $(call PC,--cflags $(CLI_PACKAGES)) -fPIC -c -o $@ $<

$(B)/obj/cli/database.o $(B)/obj/tests/test_database.o: $(B)/sqlite
$(B)/obj/cli/database.o $(B)/obj/tests/test_database.o: override EXTRA_CFLAGS += $(SQLITE:%=-DCW_SQLITE)
$(B)/sqlite: FORCE
	@mkdir -p $(@D)
	@echo '$(or $(SQLITE),SQLite 3.37 or later (libsqlite3-dev) is not there: no databases of readings)' > $@.new
	@cmp -s $@.new $@ && rm $@.new || { mv $@.new $@; test -n '$(SQLITE)' || cat $@; }

# Takes made on the spot need JACK's header, not its library; $(B)/no-jack says where it is missing, or nothing.
$(B)/no-jack: FORCE
	@mkdir -p $(@D)
	@echo '#include <jack/jack.h>' | $(CC) $(CPPFLAGS) $(CFLAGS) -E -x c - >/dev/null 2>&1 || \
	        echo "JACK's header (jack/jack.h) is missing: measure --live is left out" > $@.new
	@touch $@.new
	@cmp -s $@.new $@ && rm $@.new || { mv $@.new $@; sed 's/^/  NOTE  /' $@; }
$(B)/obj/cli/duplex.o: $(B)/no-jack

$(B)/obj/tests/%.o: tests/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) -Itests/support -Icli -Iplugin -Iplugin/ui $(call PC,--cflags $(TEST_PACKAGES)) -c -o $@ $<

$(DSP_LIB): $(DSP_OBJ)
$(CLI_LIB): $(filter-out $(B)/obj/cli/main.o,$(CLI_OBJ))
$(WORKSHOP_LIB): $(WORKSHOP_OBJ)
$(SUPPORT_LIB): $(SUPPORT_OBJ)
$(UI_LIB): $(UI_OBJ)
$(PLUGIN_LIB): $(filter-out $(B)/obj/plugin/plugin.o,$(PLUGIN_OBJ))
$(DSP_LIB) $(WORKSHOP_LIB) $(CLI_LIB) $(SUPPORT_LIB) $(UI_LIB) $(PLUGIN_LIB):
	@rm -f $@
	$(call say,AR  )
	$(Q)$(AR) rcs $@ $^

$(PROGRAM): $(B)/obj/cli/main.o $(CLI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs $(CLI_PACKAGES)) $(DL) -lm

# What the shells complete, from the program's own tables.
COMPLETIONS := $(addprefix $(B)/completions/,bash zsh fish)
.PHONY: completions
completions: $(COMPLETIONS)
$(COMPLETIONS): $(B)/completions/%: $(PROGRAM)
	@mkdir -p $(@D)
	$(call say,TEXT)
	$(Q)$(PROGRAM) completion $* > $@.new
	@mv $@.new $@

# The bundle: binary, generated Turtle, presets, and the page that the plugin calls its home.
$(BUNDLE)/coilwright.so: $(PLUGIN_OBJ) $(WORKSHOP_LIB) $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -shared -o $@ $^ $(ALL_LDFLAGS) -pthread -lm

# The window's own binary. It reads values as the program does. It stays loaded once it was: cairo
# and fontconfig keep tables for good, which would be lost and made anew each time it is opened.
$(BUNDLE)/coilwright_ui.so: $(UI_GLUE_OBJ) $(UI_LIB) $(WORKSHOP_LIB) $(DSP_LIB) plugin/ui/ui.map
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -shared -Wl,--version-script=plugin/ui/ui.map -Wl,-z,nodelete -o $@ $(filter-out %.map,$^) \
	        $(ALL_LDFLAGS) $(call PC,--libs cairo x11 kissfft-float) -lm

$(B)/obj/ttl/%.o: ttl/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) -c -o $@ $<

$(B)/generate: $(B)/obj/ttl/generate.o $(B)/obj/dsp/setup.o
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) -lm

# What makes the presets of their recipes.
$(B)/presets: $(B)/obj/ttl/presets.o $(B)/obj/dsp/setup.o
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) -lm

$(BUNDLE)/coilwright.ttl: $(B)/generate
	@mkdir -p $(@D)
	$(call say,TTL )
	$(Q)$(B)/generate plugin > $@.new
	@mv $@.new $@

# Depends on the directory too, so that a preset that was removed goes from the bundle.
$(BUNDLE)/manifest.ttl: $(B)/generate presets/. $(PRESETS)
	@mkdir -p $(@D)
	@find $(@D) -name '*.ttl' ! -name coilwright.ttl -exec rm -f {} +
	$(Q)$(if $(PRESETS),cp $(PRESETS) $(@D)/)
	$(call say,TTL )
	$(Q)$(B)/generate manifest $(notdir $(PRESETS)) > $@.new
	@mv $@.new $@

# In the bundle nothing stands beside it: its links become words, its picture goes.
$(BUNDLE)/README.md: README.md
	@mkdir -p $(@D)
	$(call say,COPY)
	$(Q)sed -e '/^\[!\[/d' -e 's/\[\([^]]*\)\](\([^):]*\))/\1/g' $< > $@.new
	$(Q)printf '\nThe pages named here are installed in share/doc/coilwright.\n' >> $@.new
	@mv $@.new $@

.PHONY: bundle
bundle: $(BUNDLE)/coilwright.so $(BUNDLE)/coilwright_ui.so $(BUNDLE)/coilwright.ttl $(BUNDLE)/manifest.ttl $(BUNDLE)/README.md

# What makes the pictures of the window.
$(B)/obj/docs/%.o: docs/%.c Makefile
	@mkdir -p $(@D)
	$(call say,CC  )
	$(Q)$(CC) $(ALL_CFLAGS) -Iplugin/ui -Itests/support $(call PC,--cflags cairo) -c -o $@ $<

$(B)/pictures: $(B)/obj/docs/pictures.o $(SUPPORT_LIB) $(UI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -Wl,--wrap=cairo_show_text -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs cairo) -lm

# The presets, of their recipes. A preset whose recipe went is removed by hand.
.PHONY: presets
presets: $(B)/presets
	$(B)/presets presets/recipes.txt presets

# What in docs/ is made: tables by the program, pictures by the window's own drawing. tests/test_docs.sh
# says what is stale.
.PHONY: docs
docs: $(B)/generate $(B)/pictures $(PROGRAM)
	$(B)/generate parameters > $(B)/parameters.md
	mv $(B)/parameters.md docs/parameters.md
	sh docs/winding-changes.sh $(PROGRAM) > $(B)/winding-changes.md
	mv $(B)/winding-changes.md docs/winding-changes.md
	sh docs/measuring.sh $(PROGRAM) > $(B)/measuring.md
	mv $(B)/measuring.md docs/measuring.md
	sh docs/start-to-finish.sh $(PROGRAM) > $(B)/start-to-finish.md
	mv $(B)/start-to-finish.md docs/start-to-finish.md
	$(B)/pictures docs/images
	cd docs/images && cksum window-*.png > window.sums

# The tables of the coil's model, each made by a program of its own; a test notices one that is stale. The last
# one asks the model itself, with the others in it.
.PHONY: tables
tables: $(B)/tables/circle $(B)/tables/rods $(B)/tables/skin
	$(B)/tables/circle > $(B)/circle_table.inc
	mv $(B)/circle_table.inc dsp/circle_table.inc
	$(B)/tables/rods > $(B)/rods_table.inc
	mv $(B)/rods_table.inc dsp/rods_table.inc
	$(B)/tables/skin > $(B)/skin_table.inc
	mv $(B)/skin_table.inc dsp/skin_table.inc
	@$(MAKE) --no-print-directory $(B)/tables/reference
	$(B)/tables/reference > $(B)/reference_table.inc
	mv $(B)/reference_table.inc dsp/reference_table.inc

$(B)/tables/%: dsp/tables/%.c $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $< $(DSP_LIB) $(ALL_LDFLAGS) -lm

# Hear it: sets the machine up, builds, renders the bundled comparisons of a phrase of our own.
.PHONY: audition
audition:
	@$(SETUP) build
	@$(MAKE) -j $(JOBS) --no-print-directory all
	@sed 's/^/No live page, in which the listener moves the values: /' $(B)/page/wasm-tools
	@$(PROGRAM) audition --demo -o $(B)/audition --force $$(test -s $(B)/page/wasm-tools || echo --live)

# Test it: sets the machine up, builds, runs every test.
.PHONY: check
check:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory all tests
	@CW_BUILD=$(B) JOBS=$(JOBS) sh tests/run

.PHONY: tests
tests: $(TESTS) $(B)/presets $(B)/pictures $(B)/tables/circle $(B)/tables/rods $(B)/tables/skin $(B)/tables/reference

$(B)/tests/%: $(B)/obj/tests/%.o $(SUPPORT_LIB) $(PLUGIN_LIB) $(UI_LIB) $(CLI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	@mkdir -p $(@D)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs $(TEST_PACKAGES)) $(DL) -lm

# Every compiled test with the sanitizers of both compilers; not test_hosts, whose hosts have no
# sanitizer's library. `make check` does it with gcc.
SANITIZERS := -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
.PHONY: sanitize sanitize-gcc sanitize-clang
sanitize: sanitize-gcc sanitize-clang
sanitize-gcc sanitize-clang: sanitize-%:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory B=$(B)/sanitize-$* CC=$* CFLAGS='-O1 -g' \
	        EXTRA_CFLAGS='$(SANITIZERS)' all tests
	@CW_BUILD=$(B)/sanitize-$* JOBS=$(JOBS) CW_BRIEF=1 \
	        LSAN_OPTIONS=suppressions=$(CURDIR)/tests/support/leaks.txt:print_suppressions=0 sh tests/run \
	        $(patsubst $(B)/%,$(B)/sanitize-$*/%,$(filter-out %/test_hosts,$(TESTS)))

# Speed, against the limit and against others; writes docs/bench.md. Never a part of `make check`.
.PHONY: bench
bench:
	@$(SETUP) build test judge
	@$(MAKE) -j $(JOBS) --no-print-directory all $(B)/bench
	@CW_BUNDLE=$(BUNDLE) CW_PROGRAM=$(PROGRAM) CW_FLAGS='$(strip $(CFLAGS) $(EXTRA_CFLAGS))' $(B)/bench $(B)/bench.md tests/bench/makers.txt
	@mv $(B)/bench.md docs/bench.md

$(B)/bench: $(call objects,tests/bench/*.c) $(SUPPORT_LIB) $(UI_LIB) $(CLI_LIB) $(WORKSHOP_LIB) $(DSP_LIB)
	$(call say,LINK)
	$(Q)$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) $(call PC,--libs $(CLI_PACKAGES)) $(DL) -lm

include tests/campaign.mk

# Paths from outside may hold spaces and quotes: each goes to the shell as one word.
quoted = '$(subst ','\'',$(1))'

# Stops where the path of variable $(1) is none to write to, or to remove from.
define check_place
@case $(call quoted,$($(1))) in \
*[!/]*) ;; *) echo "coilwright: $(1): expected a directory to install to, found '"$(call quoted,$($(1)))"'" >&2; exit 2 ;; \
esac; case $(call quoted,$(DESTDIR)$($(1))) in \
*/../* | */.. | */./* | */. | *[[:cntrl:]]*) echo "coilwright: $(1): expected a path without '.', '..' and control characters" >&2; exit 2 ;; \
esac; case $(call quoted,$($(1))) in \
/*) ;; *) echo "coilwright: $(1): expected a path from / on, found '"$(call quoted,$($(1)))"'" >&2; exit 2 ;; \
esac
endef

# An empty DESTDIR on the command line is a variable of the caller's that was not set.
define check_places
@case $(call quoted,$(origin DESTDIR)/$(DESTDIR)) in \
'command line/') echo "coilwright: DESTDIR: expected a directory, found nothing (leave DESTDIR out to install in place)" >&2; exit 2 ;; \
esac
$(foreach place,BINDIR LV2DIR MANDIR DOCDIR $(COMPDIRS),$(call check_place,$(place))
)
endef

INSTALLED_PROGRAM = $(call quoted,$(DESTDIR)$(BINDIR)/coilwright)
INSTALLED_DOCS = $(call quoted,$(DESTDIR)$(DOCDIR)/coilwright)
INSTALLED_BUNDLE = $(call quoted,$(DESTDIR)$(LV2DIR)/coilwright.lv2)
INSTALLED_MANUAL = $(call quoted,$(DESTDIR)$(MANDIR)/man1/coilwright.1)
COMPDIRS := BASHCOMPDIR ZSHCOMPDIR FISHCOMPDIR
INSTALLED_BASHCOMP = $(call quoted,$(DESTDIR)$(BASHCOMPDIR)/coilwright)
INSTALLED_ZSHCOMP = $(call quoted,$(DESTDIR)$(ZSHCOMPDIR)/_coilwright)
INSTALLED_FISHCOMP = $(call quoted,$(DESTDIR)$(FISHCOMPDIR)/coilwright.fish)

.PHONY: install
install: all
	$(check_places)
	$(INSTALL) -d -- $(call quoted,$(DESTDIR)$(BINDIR)) $(INSTALLED_BUNDLE) $(call quoted,$(DESTDIR)$(MANDIR)/man1)
	$(INSTALL) -m 755 -- $(PROGRAM) $(INSTALLED_PROGRAM)
	$(INSTALL) -m 755 -- $(BUNDLE)/*.so $(INSTALLED_BUNDLE)/
	$(INSTALL) -m 644 -- $(BUNDLE)/*.ttl $(BUNDLE)/README.md $(INSTALLED_BUNDLE)/
	$(INSTALL) -m 644 -- docs/coilwright.1 $(INSTALLED_MANUAL)
	$(INSTALL) -d -- $(INSTALLED_DOCS)/docs/images
	$(INSTALL) -m 644 -- README.md NEWS.md DEVELOPERS.md LICENSE $(INSTALLED_DOCS)/
	$(INSTALL) -m 644 -- docs/*.md $(INSTALLED_DOCS)/docs/
	$(INSTALL) -m 644 -- docs/images/*.png $(INSTALLED_DOCS)/docs/images/
	$(INSTALL) -d -- $(foreach dir,$(COMPDIRS),$(call quoted,$(DESTDIR)$($(dir))))
	$(INSTALL) -m 644 -- $(B)/completions/bash $(INSTALLED_BASHCOMP)
	$(INSTALL) -m 644 -- $(B)/completions/zsh $(INSTALLED_ZSHCOMP)
	$(INSTALL) -m 644 -- $(B)/completions/fish $(INSTALLED_FISHCOMP)

.PHONY: uninstall
uninstall:
	$(check_places)
	rm -f -- $(INSTALLED_PROGRAM) $(INSTALLED_MANUAL) $(INSTALLED_BASHCOMP) $(INSTALLED_ZSHCOMP) $(INSTALLED_FISHCOMP)
	rm -rf -- $(INSTALLED_BUNDLE) $(INSTALLED_DOCS)

# The sources of the last commit as one file, and its digest: the same bytes from every clone of that commit.
DIST = coilwright-$(VERSION)
.PHONY: dist
dist:
	@mkdir -p $(B)
	@git diff --quiet HEAD -- || { echo "coilwright: dist: there are changes that are not committed" >&2; exit 2; }
	$(Q)git -c tar.umask=0022 -c core.autocrlf=false -c core.attributesFile=/dev/null archive --format=tar \
	        --prefix=$(DIST)/ HEAD > $(B)/$(DIST).tar
	$(Q)gzip -n -9 -f $(B)/$(DIST).tar
	$(Q)cd $(B) && sha256sum $(DIST).tar.gz > $(DIST).tar.gz.sha256
	@cat $(B)/$(DIST).tar.gz.sha256

# Only what a build made: a directory without objects of ours is left alone.
.PHONY: clean
clean:
	@case $(call quoted,$(abspath $(B))) in \
	/ | $(call quoted,$(CURDIR))) echo "coilwright: B: expected the directory of a build, found $(abspath $(B))" >&2; exit 2 ;; esac
	@[ ! -e $(call quoted,$(B)) ] || [ -d $(call quoted,$(B)/obj/dsp) ] || \
	        { echo "coilwright: B: expected the directory of a build, found no objects in $(B)" >&2; exit 2; }
	rm -rf -- $(call quoted,$(B))

.SECONDARY:
.DELETE_ON_ERROR:

-include $(shell test -d $(B)/obj && find $(B)/obj $(wildcard $(B)/wasm) -name '*.d' 2>/dev/null)
