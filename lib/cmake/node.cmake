# Node.js and npm, for the script of the report's page and for some tests; neither is needed to build
# the program. Any Node from 18 on will do.
#
#   LASHBAND_NODE          the program, OFF or not found where there is none
#   LASHBAND_NPM           the same for npm
#   LASHBAND_NODE_SERVES   whether LASHBAND_NODE is there and new enough
find_program(LASHBAND_NODE NAMES node nodejs DOC "Node.js, 18 or newer; OFF does without")
find_program(LASHBAND_NPM NAMES npm DOC "npm, which fetches packages for Node.js")
mark_as_advanced(LASHBAND_NODE LASHBAND_NPM)

set(LASHBAND_NODE_SERVES FALSE)
if(LASHBAND_NODE)
  execute_process(
    COMMAND "${LASHBAND_NODE}" --version OUTPUT_VARIABLE _node_version OUTPUT_STRIP_TRAILING_WHITESPACE
  )
  if(_node_version MATCHES "^v([0-9.]+)$" AND CMAKE_MATCH_1 VERSION_GREATER_EQUAL 18)
    set(LASHBAND_NODE_SERVES TRUE)
  endif()
endif()
