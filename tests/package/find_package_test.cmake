# Installs the build tree `build` into a staging folder, moves that, and builds and runs the client
# project against it.
cmake_minimum_required(VERSION 3.24)

function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE result OUTPUT_VARIABLE output ERROR_VARIABLE output)
  message("${output}")
  if(NOT result EQUAL 0)
    string(REPLACE ";" " " command "${ARGN}")
    message(FATAL_ERROR "failed (${result}): ${command}")
  endif()
endfunction()

set(prefix "${work}/prefix")
file(REMOVE_RECURSE "${work}/staged" "${prefix}" "${work}/client")
run("${CMAKE_COMMAND}" --install "${build}" --config "${config}" --prefix "${work}/staged")
file(RENAME "${work}/staged" "${prefix}")

# What is installed must not lead back to this checkout.
file(GLOB_RECURSE package_files "${prefix}/*.cmake")
if(NOT package_files)
  message(FATAL_ERROR "no CMake package below ${prefix}")
endif()
foreach(file IN LISTS package_files)
  file(STRINGS "${file}" lines)
  foreach(line IN LISTS lines)
    string(FIND "${line}" "${build}" in_build)
    string(FIND "${line}" "${source}" in_source)
    if(NOT in_build EQUAL -1 OR NOT in_source EQUAL -1)
      message(FATAL_ERROR "${file} names a folder of the build: ${line}")
    endif()
  endforeach()
endforeach()

set(flags "")
if(sanitize)
  set(flags "-fsanitize=${sanitize}")
endif()
run(
  "${CMAKE_COMMAND}" -S "${CMAKE_CURRENT_LIST_DIR}/client" -B "${work}/client" -G "${generator}" -D
  "CMAKE_BUILD_TYPE=${config}" -D "CMAKE_CXX_COMPILER=${compiler}" -D "CMAKE_CXX_FLAGS=${flags}" -D
  "CMAKE_PREFIX_PATH=${prefix}" -D "client_source=${source}/examples/minimal.cpp"
)
run("${CMAKE_COMMAND}" --build "${work}/client" --config "${config}")
run("${CMAKE_COMMAND}" -E chdir "${source}" "${work}/client/client")
