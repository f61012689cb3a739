# lashband_numerics: floating point that gives the same numbers from every compiler. Without the flag
# g++ may merge a * b + c into one rounding where the processor can, and clang 14 does so only within
# an expression. Never add -ffast-math or -march=native here.
add_library(lashband_numerics INTERFACE)
target_compile_options(lashband_numerics INTERFACE -ffp-contract=off)
