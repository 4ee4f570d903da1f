# Tankside: `make help` lists the targets.
# Local choices (compiler, prefix) may stand in Makefile.config, which git does not keep.
-include Makefile.config

VERSION    := 0.1.0
SOVERSION  := 0
CONFIG     ?= release
PREFIX     ?= /usr/local
DESTDIR    ?=
CC         ?= gcc
CXX        ?= g++
BUILD      := build/$(CONFIG)

# What Debian calls the things that are needed; installed by `make packages` where they are missing.
BUILD_PACKAGES := gcc g++ pkg-config libyaml-dev libassimp-dev libcglm-dev libembree-dev \
                  libmeshoptimizer-dev
TEST_PACKAGES  := libcmocka-dev clang libclang-rt-dev libocct-modeling-algorithms-dev \
                  libocct-modeling-data-dev libocct-foundation-dev mandoc

ROOMS := base quantity text geometry shape mesh part plating field report cli

WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wvla -Werror
C_ONLY   := -Wstrict-prototypes -Wmissing-prototypes
FLAGS_release  := -O2 -g
FLAGS_debug    := -O0 -g
FLAGS_sanitize := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
FLAGS_coverage := -O0 -g --coverage
# No contraction: sums and predicates must round the same on every machine.
COMMON   := $(FLAGS_$(CONFIG)) -fPIC -fvisibility=default -ffp-contract=off -pthread -MMD -MP -Iinclude -Isrc \
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

.DEFAULT_GOAL := all
.PHONY: all demo test check bench fuzz coverage format format-check headers layers help install \
        uninstall dist clean packages test-packages program

help: ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sort | awk -F ':.*## ' '{printf "  %-14s %s\n", $$1, $$2}'

all: $(LIB_STATIC) $(LIB_SHARED) program ## build the libraries and the program

# build/tankside is the program of the configuration that was built last.
program: $(PROGRAM)
	@ln -sfn $(CONFIG)/tankside build/tankside

packages: ## install what the build needs (Debian)
	@sh .ci/packages $(BUILD_PACKAGES)

test-packages: ## install what the tests need (Debian)
	@sh .ci/packages $(BUILD_PACKAGES) $(TEST_PACKAGES)

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -c $< -o $@

$(BUILD)/%.o: %.cpp
	@mkdir -p $(@D)
	$(CXX) $(ALL_CXXFLAGS) -c $< -o $@

# The shape library is data; its files are built in.
SHAPE_FILES := $(sort $(wildcard shapes/*.yaml))
$(BUILD)/shapes.c: $(SHAPE_FILES) src/shape/embed.sh
	@mkdir -p $(@D)
	@sh src/shape/embed.sh $(SHAPE_FILES) > $@.part && mv $@.part $@

$(BUILD)/shapes.o: $(BUILD)/shapes.c
	$(CC) $(ALL_CFLAGS) -c $< -o $@

$(LIB_STATIC): $(LIB_OBJECTS)
	@rm -f $@
	$(AR) rcs $@ $^

$(LIB_SHARED): $(LIB_OBJECTS)
	$(CC) -shared -Wl,-soname,libtankside.so.$(SOVERSION) $(ALL_LDFLAGS) $^ $(LIBS) -o $@
	@ln -sfn libtankside.so.$(VERSION) $(BUILD)/libtankside.so.$(SOVERSION)
	@ln -sfn libtankside.so.$(SOVERSION) $(BUILD)/libtankside.so

$(PROGRAM): $(CLI_OBJECTS) $(LIB_STATIC)
	$(CC) $(ALL_LDFLAGS) $^ $(LIBS) -o $@

include tests/tests.mk

format: ## lay the code out as .clang-format says
	clang-format -i $$(git ls-files '*.c' '*.h' '*.cpp')

format-check: ## fail when clang-format would change a file
	clang-format --dry-run -Werror $$(git ls-files '*.c' '*.h' '*.cpp')

clean: ## remove all that was built
	rm -rf build

-include $(LIB_OBJECTS:.o=.d) $(CLI_OBJECTS:.o=.d)
