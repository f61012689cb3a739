# Run by lashband_embed at build time: writes the source `output`, in which `function` yields the
# files of `list_file` with their names below `root`.
cmake_minimum_required(VERSION 3.24)

include("${list_file}")

# Each byte becomes \xNN, so that no content (quotes, backslashes, line ends, any encoding) can be
# changed on its way. One line of the source holds one line of the file.
set(entries "")
set(count 0)
foreach(file IN LISTS files)
  cmake_path(RELATIVE_PATH file BASE_DIRECTORY "${root}" OUTPUT_VARIABLE name)
  if(NOT name MATCHES "^[A-Za-z0-9_./ +-]+$" OR name MATCHES "^\\.\\./")
    message(FATAL_ERROR "cannot embed '${file}': not a plain name below '${root}'")
  endif()
  file(SIZE "${file}" size)
  file(READ "${file}" bytes HEX)
  file(SHA256 "${file}" digest)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" bytes "${bytes}")
  string(REPLACE "\\x0a" "\\x0a\"\n     \"" bytes "${bytes}")
  string(APPEND entries "    {\"${name}\",\n     {\"${bytes}\",\n      ${size}},\n     \"${digest}\"},\n")
  math(EXPR count "${count} + 1")
endforeach()

string(REGEX REPLACE "::[^:]*$" "" namespace "${function}")
string(REGEX REPLACE "^.*::" "" name "${function}")

set(source
    "// Written by write_embedded.cmake; edit the files that it holds instead.
#include <array>
#include <span>

#include \"lashband/io/embedded_file.hpp\"

namespace ${namespace} {

std::span<const lashband::io::EmbeddedFile> ${name}();

std::span<const lashband::io::EmbeddedFile> ${name}() {
  static constexpr std::array<lashband::io::EmbeddedFile, ${count}> files{{
${entries}  }};
  return files;
}

}  // namespace ${namespace}
"
)
file(WRITE "${output}" "${source}")
