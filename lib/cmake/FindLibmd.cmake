# Finds libmd, the message digests of the BSD systems (Debian: libmd-dev), as Libmd::Libmd. The static
# library is taken where there is one, so that the program runs on a machine without libmd.
find_path(Libmd_INCLUDE_DIR sha256.h)
find_library(Libmd_LIBRARY NAMES libmd.a md)
mark_as_advanced(Libmd_INCLUDE_DIR Libmd_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Libmd REQUIRED_VARS Libmd_LIBRARY Libmd_INCLUDE_DIR)

if(Libmd_FOUND AND NOT TARGET Libmd::Libmd)
  add_library(Libmd::Libmd UNKNOWN IMPORTED)
  set_target_properties(
    Libmd::Libmd PROPERTIES IMPORTED_LOCATION "${Libmd_LIBRARY}" INTERFACE_INCLUDE_DIRECTORIES
                                                                 "${Libmd_INCLUDE_DIR}"
  )
endif()
