# The script of the report's page.
#
#   lashband_page_script(TARGET <target> FUNCTION <namespace::function>)
#
# joins lib/src/report/html/page and the packages it uses into one file at build time and embeds it
# as lashband_embed does. Without Node, or where the packages have not been fetched, the function
# yields no file, and reports have no charts. Nothing is fetched here: app/setup.sh does that.
# The global property LASHBAND_PAGE_SCRIPT then holds the path of the joined script, or nothing.
include(embed)
include(node)

set(LASHBAND_PAGE_MODULES
    "${PROJECT_SOURCE_DIR}/build/page/node_modules"
    CACHE STRING "Packages of the report's page, fetched by app/setup.sh; OFF leaves charts out"
)
cmake_path(SET _lashband_page_folder NORMALIZE "${CMAKE_CURRENT_LIST_DIR}/../src/report/html/page")

function(lashband_page_script)
  cmake_parse_arguments(PARSE_ARGV 0 arg "" "TARGET;FUNCTION" "")
  set(modules "${LASHBAND_PAGE_MODULES}")
  set(folder "${CMAKE_CURRENT_BINARY_DIR}/page")
  set(reason "")
  if(NOT modules)
    set(reason "LASHBAND_PAGE_MODULES is OFF")
  elseif(NOT LASHBAND_NODE_SERVES)
    set(reason "no Node.js from version 18 on was found; app/quickstart.sh brings one")
  else()
    foreach(package vega vega-lite vega-interpreter esbuild)
      if(NOT EXISTS "${modules}/${package}/package.json")
        set(reason "'${modules}' does not hold ${package}; app/quickstart.sh fetches it")
        break()
      endif()
    endforeach()
  endif()

  set(script "")
  if(reason)
    message(STATUS "Reports will have no charts: ${reason}")
  else()
    set(script "${folder}/page.js")
    file(GLOB sources CONFIGURE_DEPENDS "${_lashband_page_folder}/*.js"
         "${_lashband_page_folder}/*.mjs"
    )
    add_custom_command(
      OUTPUT "${script}"
      COMMAND "${CMAKE_COMMAND}" -E make_directory "${folder}"
      COMMAND "${LASHBAND_NODE}" "${_lashband_page_folder}/bundle.mjs" "${modules}" "${script}"
      # npm rewrites its own list whenever it installs.
      DEPENDS ${sources} "${_lashband_page_folder}/package-lock.json"
              "${modules}/.package-lock.json"
      COMMENT "Joining the script of the report's page"
      VERBATIM
    )
  endif()
  set_property(GLOBAL PROPERTY LASHBAND_PAGE_SCRIPT "${script}")

  lashband_embed(
    TARGET ${arg_TARGET}
    FUNCTION ${arg_FUNCTION}
    ROOT "${folder}"
    FILES ${script}
  )
endfunction()
