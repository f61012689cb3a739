# Finds Highway, the portable SIMD library (Debian: libhwy-dev), as Highway::Highway. It brings a
# package of its own, which on some systems names libraries that only its tests need; header and
# library are enough here. The static library is taken where there is one.
find_path(Highway_INCLUDE_DIR hwy/highway.h)
find_library(Highway_LIBRARY NAMES libhwy.a hwy)
mark_as_advanced(Highway_INCLUDE_DIR Highway_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Highway REQUIRED_VARS Highway_LIBRARY Highway_INCLUDE_DIR)

if(Highway_FOUND AND NOT TARGET Highway::Highway)
  add_library(Highway::Highway UNKNOWN IMPORTED)
  set_target_properties(
    Highway::Highway PROPERTIES IMPORTED_LOCATION "${Highway_LIBRARY}"
                                INTERFACE_INCLUDE_DIRECTORIES "${Highway_INCLUDE_DIR}"
  )
endif()
