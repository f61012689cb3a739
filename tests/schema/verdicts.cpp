// Judges many inputs with the reader, for the test that compares the reader with the schema.
//
// Each line of standard input is one JSON text, or @ and the path of a file. Each line of the
// output is "accept", or "reject" and the first problem. An argument is the folder from which a
// text names files.
#include <exception>
#include <iostream>
#include <string>

#include "lashband/io/design_file.hpp"
#include "lashband/io/input_error.hpp"

int main(int argc, char** argv) {
  const char* folder = argc > 1 ? argv[1] : ".";
  std::string line;
  while (std::getline(std::cin, line)) {
    try {
      if (line.rfind('@', 0) == 0) {
        static_cast<void>(lashband::io::read_design_file(line.substr(1)));
      } else {
        static_cast<void>(lashband::io::read_design_text(line, "text", folder));
      }
      std::cout << "accept\n";
    } catch (const lashband::io::InputErrors& errors) {
      std::cout << "reject " << lashband::io::one_line(errors.problems().front()) << '\n';
    } catch (const std::exception& error) {
      std::cerr << "unexpected: " << error.what() << " for " << line << '\n';
      return 1;
    }
  }
  return 0;
}
