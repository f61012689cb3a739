#include <exception>
#include <iostream>
#include <variant>

#include "command_line.hpp"
#include "commands.hpp"
#include "errors.hpp"
#include "exit_codes.hpp"
#include "interruption.hpp"
#include "lashband/io/input_error.hpp"

namespace {

int run_command(const lashband::app::Command& command) {
  return std::visit([](const auto& chosen) { return lashband::app::run(chosen); }, command);
}

}  // namespace

int main(int argc, char** argv) {
  using namespace lashband::app;
  try {
    const auto asked = command_of(argc, argv);
    if (const int* status = std::get_if<int>(&asked)) {
      return *status;
    }
    return run_command(std::get<Command>(asked));
  } catch (const lashband::io::InputErrors& error) {
    // One problem a line, each beginning with file, line and column.
    std::cerr << error.what() << '\n';
    return bad_input;
  } catch (const UsageError& error) {
    std::cerr << "lashband: " << error.what() << '\n';
    return bad_input;
  } catch (const Interrupted& error) {
    std::cerr << "lashband: " << error.what() << '\n';
    return stopped;
  } catch (const std::exception& error) {
    std::cerr << "lashband: " << error.what() << '\n';
    return failed;
  }
}
