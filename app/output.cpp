#include "output.hpp"

#include <fcntl.h>
#include <signal.h>  // NOLINT(modernize-deprecated-headers): <csignal> need not have sigset_t
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <iostream>
#include <string>
#include <system_error>

#include "errors.hpp"

namespace lashband::app {
namespace {

namespace fs = std::filesystem;

std::string reason() {
  return std::generic_category().message(errno);
}

[[noreturn]] void fail(const fs::path& file, const std::string& why) {
  throw OutputError("cannot write " + file.string() + ": " + why);
}

void write_all(int descriptor, std::string_view text, const fs::path& file) {
  while (!text.empty()) {
    const ssize_t written = ::write(descriptor, text.data(), text.size());
    if (written < 0) {
      if (errno == EINTR) {
        continue;
      }
      fail(file, reason());
    }
    text.remove_prefix(static_cast<std::size_t>(written));
  }
}

// Signals that would end the program wait while one of these lives.
class SignalsHeld {
 public:
  SignalsHeld() {
    sigset_t held;
    ::sigemptyset(&held);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
      ::sigaddset(&held, signal);
    }
    ::pthread_sigmask(SIG_BLOCK, &held, &before_);
  }
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;
  SignalsHeld(SignalsHeld&&) = delete;
  SignalsHeld& operator=(SignalsHeld&&) = delete;
  ~SignalsHeld() { ::pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

 private:
  sigset_t before_{};
};

// A file that is there only until it has its final name, also where Ctrl-C is pressed meanwhile.
class TemporaryFile {
 public:
  explicit TemporaryFile(const fs::path& beside) : target_(beside) {
    name_ = (beside.has_parent_path() ? beside.parent_path() : fs::path(".")) /
            ("." + beside.filename().string() + "." + std::to_string(::getpid()) + ".part");
    // NOLINTNEXTLINE(cppcoreguidelines-pro-type-vararg): open() has no other form
    descriptor_ = ::open(name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor_ < 0) {
      fail(target_, reason());
    }
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  TemporaryFile(TemporaryFile&&) = delete;
  TemporaryFile& operator=(TemporaryFile&&) = delete;
  ~TemporaryFile() {
    if (descriptor_ >= 0) {
      ::close(descriptor_);
    }
    if (!name_.empty()) {
      ::unlink(name_.c_str());
    }
  }

  void fill(std::string_view text) {
    write_all(descriptor_, text, target_);
    const bool synced = ::fsync(descriptor_) == 0 || errno == EINVAL || errno == EROFS;
    const int descriptor = descriptor_;
    descriptor_ = -1;
    if (::close(descriptor) != 0 || !synced) {
      fail(target_, reason());
    }
  }

  void take_name(bool replace) {
    if (replace) {
      if (std::rename(name_.c_str(), target_.c_str()) != 0) {
        fail(target_, reason());
      }
      name_.clear();
    } else if (::link(name_.c_str(), target_.c_str()) != 0) {
      // link() cannot overwrite: a file that has come up meanwhile is left alone.
      fail(target_, reason());
    }
  }

 private:
  SignalsHeld signals_;
  fs::path target_;
  fs::path name_;
  int descriptor_ = -1;
};

}  // namespace

void write_file(const fs::path& file, std::string_view text, bool replace) {
  std::error_code error;
  const fs::file_status status = fs::status(file, error);
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    if (fs::is_directory(status)) {
      fail(file, "it is a folder");
    }
    // A device or a pipe takes the text itself; it cannot be renamed over.
    // NOLINTNEXTLINE(cppcoreguidelines-pro-type-vararg): open() has no other form
    const int descriptor = ::open(file.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor < 0) {
      fail(file, reason());
    }
    try {
      write_all(descriptor, text, file);
    } catch (...) {
      ::close(descriptor);
      throw;
    }
    if (::close(descriptor) != 0) {
      fail(file, reason());
    }
    return;
  }
  // The file behind a symbolic link is replaced, not the link.
  const fs::path target = fs::exists(status) ? fs::canonical(file) : file;
  TemporaryFile temporary(target);
  temporary.fill(text);
  temporary.take_name(replace);
}

void check_output(const OutputOptions& options) {
  if (options.file && !options.force && fs::exists(*options.file)) {
    throw UsageError(options.file->string() + " exists already; --force replaces it");
  }
}

void write_output(std::string_view text, const OutputOptions& options) {
  if (options.file) {
    write_file(*options.file, text, options.force);
    if (!options.quiet) {
      std::cerr << "wrote " << options.file->string() << '\n';
    }
    return;
  }
  if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0) {
    throw OutputError("cannot write to standard output: " + reason());
  }
}

}  // namespace lashband::app
