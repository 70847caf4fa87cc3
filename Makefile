# Coilwright. `make audition` and `make check` do all the set-up themselves; see README.md.
CC ?= cc
CFLAGS ?= -O2 -g
PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
LV2DIR ?= $(LIBDIR)/lv2
BINDIR ?= $(PREFIX)/bin
MANDIR ?= $(PREFIX)/share/man
B ?= build

VERSION := 0.1.0
WARN := -Wall -Wextra -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
# Errors of maths functions are never read, so errno need not be set; NaN semantics stay.
BASE := -std=c11 -D_POSIX_C_SOURCE=200809L $(WARN) -fno-math-errno -fvisibility=hidden -MMD -MP \
        -DCW_VERSION='"$(VERSION)"' -Idsp
ALL_CFLAGS = $(BASE) $(CFLAGS) $(EXTRA_CFLAGS)
ALL_LDFLAGS = $(LDFLAGS) $(EXTRA_LDFLAGS)

# Asked of pkg-config only when a rule needs it: on a fresh machine it is not there yet.
PC = $(shell pkg-config $(1))
CLI_PACKAGES := lilv-0 serd-0 sndfile cairo libebur128
UI_PACKAGES := x11 cairo
TEST_PACKAGES := cmocka lilv-0 sndfile

BUNDLE := $(B)/lv2/coilwright.lv2
PROGRAM := $(B)/coilwright

DSP_OBJ := $(patsubst %.c,$(B)/obj/%.o,$(wildcard dsp/*.c))
PLUGIN_OBJ := $(patsubst %.c,$(B)/obj/%.o,$(wildcard plugin/*.c))
CLI_OBJ := $(patsubst %.c,$(B)/obj/%.o,$(wildcard cli/*.c))
DSP_LIB := $(B)/libcoilwright.a

.PHONY: all
all: $(PROGRAM) bundle

$(B)/obj/dsp/%.o: dsp/%.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -fPIC -c -o $@ $<

$(B)/obj/plugin/%.o: plugin/%.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(call PC,--cflags lv2) -fPIC -c -o $@ $<

$(B)/obj/cli/%.o: cli/%.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(call PC,--cflags $(CLI_PACKAGES)) -c -o $@ $<

$(DSP_LIB): $(DSP_OBJ)
	rm -f $@
	$(AR) rcs $@ $^

$(PROGRAM): $(CLI_OBJ) $(DSP_LIB)
	$(CC) $(ALL_CFLAGS) -o $@ $(CLI_OBJ) $(DSP_LIB) $(ALL_LDFLAGS) $(call PC,--libs $(CLI_PACKAGES)) -lm

# The bundle: binary, generated Turtle, presets.
$(BUNDLE)/coilwright.so: $(PLUGIN_OBJ) $(DSP_LIB)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -shared -o $@ $(PLUGIN_OBJ) $(DSP_LIB) $(ALL_LDFLAGS) -lm

$(B)/generate: ttl/generate.c $(DSP_LIB)
	$(CC) $(ALL_CFLAGS) -o $@ $< $(DSP_LIB) $(ALL_LDFLAGS) -lm

.PHONY: bundle
bundle: $(BUNDLE)/coilwright.so

.PHONY: clean
clean:
	rm -rf $(B)

-include $(shell test -d $(B) && find $(B) -name '*.d' 2>/dev/null)
