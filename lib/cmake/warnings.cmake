# lashband_warnings: the warnings that every target of this project is compiled with. An interface
# target that is used through $<BUILD_INTERFACE:...> only, so that no user of the library inherits it.
add_library(lashband_warnings INTERFACE)

target_compile_options(
  lashband_warnings
  INTERFACE -Wall
            -Wextra
            -Wpedantic
            -Wshadow
            -Wconversion
            -Wsign-conversion
            -Wdouble-promotion
            -Wfloat-conversion
            -Wold-style-cast
            -Wcast-qual
            -Wcast-align
            -Wnon-virtual-dtor
            -Woverloaded-virtual
            -Wextra-semi
            -Wformat=2
            -Wunused
            -Wmissing-declarations
            $<$<CXX_COMPILER_ID:GNU>:-Wduplicated-cond>
            $<$<CXX_COMPILER_ID:GNU>:-Wlogical-op>
            # g++ 12 sees overlapping copies in a sum of std::string (its bug 105651).
            $<$<AND:$<CXX_COMPILER_ID:GNU>,$<VERSION_LESS:$<CXX_COMPILER_VERSION>,13>>:-Wno-restrict>
            # g++ 14 takes the unused members of a std::optional of a std::variant for used.
            $<$<AND:$<CXX_COMPILER_ID:GNU>,$<VERSION_GREATER_EQUAL:$<CXX_COMPILER_VERSION>,13>>:-Wno-maybe-uninitialized>
            # g++ checks this along its optimised paths and is wrong about inlined library code;
            # clang's check is on the syntax and quiet.
            $<$<CXX_COMPILER_ID:Clang>:-Wnull-dereference>
            $<$<BOOL:${LASHBAND_WERROR}>:-Werror>
)
