# Tankside: `make help` lists the targets.
# Local choices (compiler, prefix) may stand in Makefile.config, which git does not keep.
-include Makefile.config

VERSION    := 0.1.0
SOVERSION  := 0
CONFIG     ?= release
PREFIX     ?= /usr/local
DESTDIR    ?=
ifeq ($(origin CC),default)
CC         := gcc
endif
ifeq ($(origin CXX),default)
CXX        := g++
endif
BUILD      := build/$(CONFIG)
# Compilers at once, where make is not told.
JOBS       ?= $(shell nproc)
# V=1 shows the commands in full.
Q          := $(if $(V),,@)

# What Debian calls the things that are needed; installed by `make packages` where they are missing.
BUILD_PACKAGES := gcc g++ pkg-config libyaml-dev libassimp-dev libcglm-dev \
                  zlib1g-dev
TEST_PACKAGES  := libcmocka-dev libocct-modeling-algorithms-dev libocct-modeling-data-dev \
                  libocct-foundation-dev libopenmesh-dev python3-numpy mandoc
CODE_PACKAGES  := clang clang-format libclang-rt-dev

ROOMS := base quantity text geometry shape mesh part plating field report cli

WARNINGS := -Wall -Wextra -Wno-psabi -Wpedantic -Wshadow -Wconversion -Wvla -Werror
C_ONLY   := -Wstrict-prototypes -Wmissing-prototypes
FLAGS_release  := -O3 -g
FLAGS_debug    := -O0 -g
FLAGS_sanitize := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
FLAGS_coverage := -O0 -g --coverage
FLAGS_fuzz     := -O1 -g -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
# No contraction: sums and predicates must round the same on every machine.
COMMON   := $(FLAGS_$(CONFIG)) -fPIC -fno-semantic-interposition -fvisibility=default -ffp-contract=off -pthread -MMD -MP -Iinclude -Isrc \
            -D_GNU_SOURCE -DTKS_VERSION='"$(VERSION)"'
ALL_CFLAGS   = -std=c11 $(COMMON) $(WARNINGS) $(C_ONLY) $(CFLAGS)
ALL_CXXFLAGS = -std=c++17 $(COMMON) $(WARNINGS) $(CXXFLAGS)
ALL_LDFLAGS  = $(FLAGS_$(CONFIG)) -pthread $(LDFLAGS)
LIBS         = -lyaml -lm

# The library is every room but the last; a folder src/reader holds a helper program with the
# heavy mesh libraries, so that neither the library nor the program has to load them.
LIB_SOURCES  := $(foreach room,$(filter-out cli,$(ROOMS)),$(wildcard src/$(room)/*.c))
CLI_SOURCES  := $(wildcard src/cli/*.c)
LIB_OBJECTS  := $(LIB_SOURCES:%.c=$(BUILD)/%.o) $(BUILD)/shapes.o
CLI_OBJECTS  := $(CLI_SOURCES:%.c=$(BUILD)/%.o)
LIB_STATIC   := $(BUILD)/libtankside.a
LIB_SHARED   := $(BUILD)/libtankside.so.$(VERSION)
PROGRAM      := $(BUILD)/tankside
# Helper programs that tankside starts; each needs a rule, and goes to libexec/tankside.
READER       := $(BUILD)/tankside-reader
HELPERS      := $(READER)
READER_OBJECTS := $(patsubst %.c,$(BUILD)/%.o,$(wildcard src/reader/*.c))

.DEFAULT_GOAL := all
.PHONY: all demo test check bench fuzz coverage format format-check headers layers help install \
        installcheck readme uninstall dist clean packages test-packages code-packages program

help: ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sort | awk -F ':.*## ' '{printf "  %-14s %s\n", $$1, $$2}'

all: $(LIB_STATIC) $(LIB_SHARED) $(HELPERS) program ## build the libraries and the program

demo: packages ## install what the build needs, build, and show what the program does
	@$(MAKE) --no-print-directory -j$(JOBS) all
	@sh shapes/demo/show.sh build/tankside

# build/tankside is the program of the configuration that was built last.
program: $(PROGRAM)
	@ln -sfn $(patsubst build/%,%,$(BUILD))/tankside build/tankside

packages: ## install what the build needs (Debian)
	@sh .ci/packages $(BUILD_PACKAGES)

test-packages: ## install what the tests need (Debian)
	@sh .ci/packages $(BUILD_PACKAGES) $(TEST_PACKAGES)

code-packages: ## install what work on the code needs besides (Debian)
	@sh .ci/packages $(BUILD_PACKAGES) $(TEST_PACKAGES) $(CODE_PACKAGES)

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	@echo "  $(CC) $<"
	$(Q)$(CC) $(ALL_CFLAGS) -c $< -o $@

$(BUILD)/%.o: %.cpp
	@mkdir -p $(@D)
	@echo "  $(CXX) $<"
	$(Q)$(CXX) $(ALL_CXXFLAGS) -c $< -o $@

# The shape library is data; its files are built in.
SHAPE_FILES := $(sort $(wildcard shapes/*.yaml))
$(BUILD)/shapes.c: $(SHAPE_FILES) src/shape/embed.sh
	@mkdir -p $(@D)
	@sh src/shape/embed.sh $(SHAPE_FILES) > $@.part && mv $@.part $@

$(BUILD)/shapes.o: $(BUILD)/shapes.c
	$(Q)$(CC) $(ALL_CFLAGS) -c $< -o $@

$(LIB_STATIC): $(LIB_OBJECTS)
	@rm -f $@
	@echo "  pack $@"
	$(Q)$(AR) rcs $@ $^

$(LIB_SHARED): $(LIB_OBJECTS) src/libtankside.map
	@echo "  link $@"
	$(Q)$(CC) -shared -Wl,-soname,libtankside.so.$(SOVERSION) -Wl,--version-script=src/libtankside.map \
	  $(ALL_LDFLAGS) $(LIB_OBJECTS) $(LIBS) -o $@
	@ln -sfn libtankside.so.$(VERSION) $(BUILD)/libtankside.so.$(SOVERSION)
	@ln -sfn libtankside.so.$(SOVERSION) $(BUILD)/libtankside.so

$(PROGRAM): $(CLI_OBJECTS) $(LIB_STATIC)
	@echo "  link $@"
	$(Q)$(CC) $(ALL_LDFLAGS) $^ $(LIBS) -o $@

$(READER): $(READER_OBJECTS)
	@echo "  link $@"
	$(Q)$(CC) $(ALL_LDFLAGS) $^ -lassimp -lz -o $@

# Programs of others that use the library find the helpers where they were installed.
$(BUILD)/prefix: FORCE
	@mkdir -p $(@D); echo '$(PREFIX)' | cmp -s - $@ || echo '$(PREFIX)' > $@
FORCE:
$(BUILD)/src/mesh/contain.o: $(BUILD)/prefix
$(BUILD)/src/mesh/contain.o: ALL_CFLAGS += -DTKS_LIBEXEC='"$(PREFIX)/libexec/tankside"'

include tests/tests.mk

CODE = $$(find include src tests -name '*.[ch]' -o -name '*.cpp')

format: ## lay the code out as .clang-format says
	clang-format -i $(CODE)

format-check: ## fail when clang-format would change a file
	clang-format --dry-run -Werror $(CODE)

INSTALLED := $(DESTDIR)$(PREFIX)

install: all ## install program, library, headers and manual (PREFIX=/usr/local DESTDIR=)
	install -d $(addprefix $(INSTALLED)/,bin lib/pkgconfig include/tankside share/man/man1 share/man/man5 \
	  share/bash-completion/completions $(if $(HELPERS),libexec/tankside))
	install -m 755 $(PROGRAM) $(INSTALLED)/bin
	install -m 644 $(LIB_STATIC) $(LIB_SHARED) $(INSTALLED)/lib
	ln -sfn $(notdir $(LIB_SHARED)) $(INSTALLED)/lib/libtankside.so.$(SOVERSION)
	ln -sfn libtankside.so.$(SOVERSION) $(INSTALLED)/lib/libtankside.so
	install -m 644 include/tankside/*.h $(INSTALLED)/include/tankside
	sed -e 's|@PREFIX@|$(PREFIX)|' -e 's|@VERSION@|$(VERSION)|' src/tankside.pc.in \
	  > $(INSTALLED)/lib/pkgconfig/tankside.pc
	install -m 644 src/cli/tankside.1 $(INSTALLED)/share/man/man1
	install -m 644 src/cli/tankside.5 $(INSTALLED)/share/man/man5
	install -m 644 src/cli/completion.bash $(INSTALLED)/share/bash-completion/completions/tankside
	$(if $(HELPERS),install -m 755 $(HELPERS) $(INSTALLED)/libexec/tankside)

uninstall: ## remove what install put there (same PREFIX and DESTDIR)
	rm -f $(INSTALLED)/bin/tankside $(INSTALLED)/lib/libtankside.* \
	  $(INSTALLED)/lib/pkgconfig/tankside.pc $(INSTALLED)/share/man/man[15]/tankside.[15] \
	  $(INSTALLED)/share/bash-completion/completions/tankside
	rm -rf $(INSTALLED)/include/tankside $(INSTALLED)/libexec/tankside

dist: ## pack the committed state into build/tankside-VERSION.tar.gz
	@mkdir -p build
	git archive --format=tar.gz --prefix=tankside-$(VERSION)/ -o build/tankside-$(VERSION).tar.gz HEAD

clean: ## remove all that was built
	rm -rf build

-include $(LIB_OBJECTS:.o=.d) $(CLI_OBJECTS:.o=.d) $(READER_OBJECTS:.o=.d)
