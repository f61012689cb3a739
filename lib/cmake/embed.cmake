# Text files built into a target.
#
#   lashband_embed(TARGET <target> FUNCTION <namespace::function> ROOT <folder> FILES <file>...)
#
# adds to the target a source that defines
#
#   std::span<const lashband::io::EmbeddedFile> <namespace::function>();
#
# The files come sorted by name, the name being the path below ROOT. The source is written anew when
# a file or the list of files changes. To call the function, declare it in a header of yours. The
# target must be one of the folder that calls lashband_embed.
set(_lashband_embed_script "${CMAKE_CURRENT_LIST_DIR}/write_embedded.cmake")

function(lashband_embed)
  cmake_parse_arguments(PARSE_ARGV 0 arg "" "TARGET;FUNCTION;ROOT" "FILES")
  foreach(required TARGET FUNCTION ROOT)
    if(NOT arg_${required})
      message(FATAL_ERROR "lashband_embed: ${required} is missing")
    endif()
  endforeach()
  if(arg_UNPARSED_ARGUMENTS)
    message(FATAL_ERROR "lashband_embed: unknown arguments ${arg_UNPARSED_ARGUMENTS}")
  endif()

  get_target_property(target_folder ${arg_TARGET} SOURCE_DIR)
  if(NOT target_folder STREQUAL CMAKE_CURRENT_SOURCE_DIR)
    # The rule that writes the source would be unknown where the target is built.
    message(FATAL_ERROR "lashband_embed: target ${arg_TARGET} belongs to ${target_folder}")
  endif()

  string(MAKE_C_IDENTIFIER "${arg_FUNCTION}" stem)
  set(list_file "${CMAKE_CURRENT_BINARY_DIR}/embedded/${stem}.list.cmake")
  set(source "${CMAKE_CURRENT_BINARY_DIR}/embedded/${stem}.cpp")

  list(SORT arg_FILES)
  set(content "")
  foreach(file IN LISTS arg_FILES)
    string(APPEND content "list(APPEND files [==[${file}]==])\n")
  endforeach()
  # Written only when different, so that an unchanged list rebuilds nothing.
  file(CONFIGURE OUTPUT "${list_file}" CONTENT "${content}" @ONLY)

  add_custom_command(
    OUTPUT "${source}"
    COMMAND
      "${CMAKE_COMMAND}" -D "function=${arg_FUNCTION}" -D "root=${arg_ROOT}" -D
      "list_file=${list_file}" -D "output=${source}" -P "${_lashband_embed_script}"
    DEPENDS ${arg_FILES} "${list_file}" "${_lashband_embed_script}"
    COMMENT "Embedding the files of ${arg_FUNCTION}"
    VERBATIM
  )
  # One string holds a whole file. The standard asks a compiler for 65536 characters, those in use
  # take far more.
  set_source_files_properties("${source}" PROPERTIES COMPILE_OPTIONS -Wno-overlength-strings)
  target_sources(${arg_TARGET} PRIVATE "${source}")
endfunction()
