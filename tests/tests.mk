# How the tests are built: each tests/<room>/test_*.c is one program of its own, linked with the
# static library, tests/support and cmocka. A test whose name ends in _kernel is linked with the
# B-rep kernel too and is built only where that kernel is installed; _peers does the same with the
# mesh libraries that tests/peers asks.
KERNEL_INCLUDE := $(firstword $(wildcard /usr/include/opencascade /usr/local/include/opencascade))
KERNEL_LIBS    := -lTKFeat -lTKPrim -lTKBool -lTKBO -lTKOffset -lTKFillet -lTKShHealing -lTKTopAlgo -lTKGeomAlgo \
                  -lTKBRep -lTKGeomBase -lTKG3d -lTKG2d -lTKMath -lTKernel -lstdc++

TEST_SOURCES    := $(wildcard tests/*/test_*.c)
BENCH_SOURCES   := $(wildcard tests/bench/bench_*.c)
ifeq ($(KERNEL_INCLUDE),)
TEST_SOURCES    := $(filter-out %_kernel.c,$(TEST_SOURCES))
BENCH_SOURCES   := $(filter-out %_kernel.c,$(BENCH_SOURCES))
endif
PEERS_INCLUDE   := $(wildcard /usr/include/OpenMesh)
ifeq ($(PEERS_INCLUDE),)
TEST_SOURCES    := $(filter-out %_peers.c,$(TEST_SOURCES))
BENCH_SOURCES   := $(filter-out %_peers.c,$(BENCH_SOURCES))
endif
PEERS_SOURCES   := $(filter %_peers.c,$(TEST_SOURCES) $(BENCH_SOURCES))
PEERS_OBJECTS   := $(patsubst %.cpp,$(BUILD)/%.o,$(wildcard tests/peers/*.cpp))
KERNEL_SOURCES  := $(filter %_kernel.c,$(TEST_SOURCES) $(BENCH_SOURCES))
SUPPORT_OBJECTS := $(patsubst %.c,$(BUILD)/%.o,$(wildcard tests/support/*.c))
KERNEL_OBJECTS  := $(patsubst %.cpp,$(BUILD)/%.o,$(wildcard tests/support/*.cpp))
TEST_PROGRAMS   := $(TEST_SOURCES:%.c=$(BUILD)/%)
BENCH_PROGRAMS  := $(BENCH_SOURCES:%.c=$(BUILD)/%)
FUZZ_PROGRAMS   := $(patsubst %.c,$(BUILD)/%,$(wildcard tests/fuzz/fuzz_*.c))

$(BUILD)/tests/%.o: ALL_CFLAGS += -Itests
$(KERNEL_OBJECTS): ALL_CXXFLAGS += -isystem $(KERNEL_INCLUDE) -Wno-conversion -Itests
$(BUILD)/tests/%_kernel: EXTRA_LIBS = $(KERNEL_OBJECTS) $(KERNEL_LIBS)
$(KERNEL_SOURCES:%.c=$(BUILD)/%): $(KERNEL_OBJECTS)
$(PEERS_OBJECTS): ALL_CXXFLAGS += -Itests -Wno-conversion -Wno-maybe-uninitialized
$(BUILD)/tests/%_peers: EXTRA_LIBS = $(PEERS_OBJECTS) -lOpenMeshCore -lassimp -lstdc++
$(PEERS_SOURCES:%.c=$(BUILD)/%): $(PEERS_OBJECTS)

$(BUILD)/tests/%: $(BUILD)/tests/%.o $(SUPPORT_OBJECTS) $(LIB_STATIC)
	@echo "  link $@"
	$(Q)$(CC) $(ALL_LDFLAGS) $(BUILD)/tests/$*.o $(SUPPORT_OBJECTS) $(LIB_STATIC) $(EXTRA_LIBS) -lcmocka $(LIBS) -o $@

test: test-packages ## install what the tests need, build and run them
	@$(MAKE) --no-print-directory -j$(JOBS) check

# A run of a part: make check ONLY=geometry
check: all $(filter $(if $(ONLY),$(BUILD)/tests/$(ONLY)/%,%),$(TEST_PROGRAMS)) ## run the tests (ONLY=room for one room)
	@TANKSIDE=$(abspath $(PROGRAM)) JOBS=$(JOBS) sh tests/run.sh $(filter $(if $(ONLY),$(BUILD)/tests/$(ONLY)/%,%),$(TEST_PROGRAMS))

# Benches are programs of their own that print what they measure: tests/bench/bench_*.c.
bench: all $(BENCH_PROGRAMS) ## build and run the benches
	@for program in $(BENCH_PROGRAMS); do TANKSIDE=$(abspath $(PROGRAM)) $$program || exit 1; done

# Fuzzers are built by clang with a configuration of their own: tests/fuzz/fuzz_*.c.
FUZZ_SECONDS ?= 20

$(BUILD)/tests/fuzz/%: $(BUILD)/tests/fuzz/%.o $(LIB_STATIC)
	@echo "  link $@"
	$(Q)$(CC) -fsanitize=fuzzer,address,undefined -pthread $^ $(LIBS) -o $@

fuzz: ## build the fuzzers with clang and run each (FUZZ_SECONDS=20)
	@$(MAKE) --no-print-directory CC=clang CXX=clang++ CONFIG=fuzz FUZZ_SECONDS=$(FUZZ_SECONDS) fuzz-run

fuzz-run: $(FUZZ_PROGRAMS)
	@sh tests/fuzz/run.sh $(BUILD)/corpus $(FUZZ_SECONDS) $(FUZZ_PROGRAMS)

coverage: ## run the tests on an instrumented build and print the lines that they reach
	@find build/coverage -name '*.gcda' -delete 2>/dev/null || true
	@$(MAKE) --no-print-directory CONFIG=coverage check
	@sh tests/coverage.sh build/coverage

readme: all ## renew what the commands in README.md print
	@PATH="$(CURDIR)/build:$$PATH" awk -f tests/readme.awk README.md > build/README.md
	@cat build/README.md > README.md

installcheck: all ## install into build/stage, and build and run tests/client.c against that
	@+sh tests/installcheck.sh build/stage $(CONFIG)

headers: ## compile each public header alone, as C11 and as C++17
	@for h in include/tankside/*.h; do \
	  [ "$${h##*/}" = tankside.h ] || grep -q "\"tankside/$${h##*/}\"" include/tankside/tankside.h || \
	    { echo "tankside.h lacks $$h"; exit 1; }; \
	  echo "#include \"$$h\"" | $(CC) -std=c11 -I. -Iinclude $(WARNINGS) -x c -fsyntax-only - && \
	  echo "#include \"$$h\"" | $(CXX) -std=c++17 -I. -Iinclude $(WARNINGS) -x c++ -fsyntax-only - || exit 1; done

layers: ## fail when a lower room includes a higher one
	@sh tests/layers.sh $(ROOMS)

.SECONDARY:
-include $(TEST_PROGRAMS:%=%.d) $(BENCH_PROGRAMS:%=%.d) $(FUZZ_PROGRAMS:%=%.d) $(SUPPORT_OBJECTS:.o=.d) $(KERNEL_OBJECTS:.o=.d) $(PEERS_OBJECTS:.o=.d)
