#include <iostream>
#include <span>

#include "lashband/io/embedded_file.hpp"

// Written at build time by lashband_page_script.
namespace trial {
std::span<const lashband::io::EmbeddedFile> page_script_files();
}

int main() {
  std::cout << trial::page_script_files().size() << '\n';
}
