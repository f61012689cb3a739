#include "commands.hpp"
#include "exit_codes.hpp"
#include "lashband/io/input_schema.hpp"
#include "lashband/report/results_schema.hpp"
#include "output.hpp"

namespace lashband::app {

int run(const SchemaCommand& command) {
  check_output(command.output);
  write_output(command.which == "results" ? report::results_schema() : io::input_schema(),
               command.output);
  return done;
}

}  // namespace lashband::app
