# lashband_sanitizers: the flags for LASHBAND_SANITIZE, empty by default. A finding ends the program
# with a failure, so that a test that trips over one fails.
add_library(lashband_sanitizers INTERFACE)

if(LASHBAND_SANITIZE)
  set(_lashband_sanitizer_flags
      -fsanitize=${LASHBAND_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer
  )
  target_compile_options(lashband_sanitizers INTERFACE ${_lashband_sanitizer_flags})
  target_link_options(lashband_sanitizers INTERFACE ${_lashband_sanitizer_flags})
endif()
