#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

/// JSON text as a tree that knows where each value stands.
namespace lashband::io::json {

struct Value;
struct Member;
struct Null {};
using List = std::vector<Value>;
using Object = std::vector<Member>;

/// A value and the place of its first byte. Numbers are doubles; how one was written is in the
/// text.
struct Value {
  std::size_t offset = 0;
  std::size_t length = 0;  ///< bytes of a number, string or word; 0 for lists and objects
  std::variant<Null, bool, double, std::string, List, Object> data;
};

struct Member {
  std::string key;
  std::size_t key_offset = 0;
  Value value;
};

/// Something that is wrong with the text as JSON.
struct SyntaxProblem {
  std::size_t offset = 0;
  std::string pointer;
  std::string message;
};

/// What became of a text. Without a root there is at least one problem; with a root the problems
/// are keys that stand twice in an object, of which the tree's `find` yields the first.
struct Parsed {
  std::optional<Value> root;
  std::vector<SyntaxProblem> problems;
  std::size_t further_problems = 0;  ///< beyond most_problems, which are not kept
};

/// How many problems of one file are kept. More than a person would read; the bound is against
/// files made to exhaust memory.
inline constexpr std::size_t most_problems = 1000;

/// The greatest depth of lists and objects within each other. The format needs 8.
inline constexpr std::size_t greatest_depth = 64;

/// Reads JSON with comments (// and /* */), UTF-8 with or without a byte order mark. Trailing
/// commas, more than one value and nesting deeper than greatest_depth are problems.
[[nodiscard]] Parsed parse(std::string_view text);

/// The first member with that key, or null.
[[nodiscard]] const Member* find(const Object& object, std::string_view key);

/// `pointer` with one more step (RFC 6901: ~ becomes ~0, / becomes ~1). Long keys are cut.
[[nodiscard]] std::string pointer_to(const std::string& pointer, std::string_view key);
[[nodiscard]] std::string pointer_to(const std::string& pointer, std::size_t index);

/// A place in a text as people count: from 1, columns in characters.
struct LineAndColumn {
  std::size_t line = 1;
  std::size_t column = 1;
};

/// Turns offsets into lines and columns. A line ends with a line feed. A byte order mark counts as
/// no column. The text must outlive it.
class Places {
 public:
  explicit Places(std::string_view text);
  [[nodiscard]] LineAndColumn at(std::size_t offset) const;

 private:
  std::string_view text_;
  std::vector<std::size_t> line_starts_;
};

}  // namespace lashband::io::json
