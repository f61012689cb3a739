#pragma once

#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "io/json_document.hpp"
#include "io/shown_text.hpp"
#include "lashband/io/input_error.hpp"
#include "lashband/units/format.hpp"
#include "lashband/units/parse.hpp"
#include "lashband/units/quantities.hpp"
#include "lashband/units/temperature.hpp"

/// From the tree of a JSON text to typed values. A function that reads a value reports what is
/// wrong with it and yields nothing; its caller goes on with the next, so that every problem of a
/// file is found in one reading. Messages say what was read and what is allowed.
namespace lashband::io {

/// The most entries of a list of named things. Every train fits in many times over, and the bound
/// keeps a file made to exhaust a machine from doing so.
inline constexpr std::size_t most_entries = 1000;
/// The same for the lists of the train itself: shafts, gears, meshes and what is asked of them.
inline constexpr std::size_t most_parts = 10000;

/// One file while it is read: its text, and the problems found so far.
class SourceFile {
 public:
  /// `name` stands in messages; `text` must outlive the object.
  SourceFile(std::string name, std::string_view text)
      : name_(std::move(name)), text_(text), places_(text) {}

  /// The tree of the text; null where it is no JSON, which is reported.
  [[nodiscard]] const json::Value* root();

  void report(std::size_t offset, std::string pointer, std::string message);

  [[nodiscard]] std::size_t problem_count() const { return problems_.size() + further_; }
  /// The problems in the order of the text. If some were left out, the last one gives their number.
  [[nodiscard]] std::vector<InputProblem> problems() const;
  /// Whether messages still say which known name is the nearest: a help for the first problems, too
  /// slow for a file made of nothing else.
  [[nodiscard]] bool suggests_names() const { return problems_.size() < most_with_suggestion; }

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] std::string_view text() const { return text_; }
  /// "line 3, column 7"
  [[nodiscard]] std::string place(std::size_t offset) const;

 private:
  static constexpr std::size_t most_with_suggestion = 100;

  struct Found {
    std::size_t offset;
    std::string pointer;
    std::string message;
  };

  std::string name_;
  std::string_view text_;
  json::Places places_;
  std::optional<json::Value> root_;
  std::vector<Found> problems_;
  std::size_t further_ = 0;
};

/// The place of a value in a file; the value may be lacking.
class Field {
 public:
  /// A value that is there.
  Field(SourceFile& file, const json::Value& value, std::string pointer)
      : file_(&file), value_(&value), offset_(value.offset), pointer_(std::move(pointer)) {}

  /// A key that an object does not have; `offset` is the object's.
  static Field lacking(SourceFile& file, std::size_t offset, std::string pointer_of_object,
                       std::string_view key, bool needed);

  [[nodiscard]] bool given() const { return value_ != nullptr; }
  /// Only where given().
  [[nodiscard]] const json::Value& value() const { return *value_; }
  [[nodiscard]] std::size_t offset() const { return offset_; }
  [[nodiscard]] const std::string& pointer() const { return pointer_; }
  [[nodiscard]] SourceFile& file() const { return *file_; }

  void report(std::string message) const { file_->report(offset_, pointer_, std::move(message)); }

  /// Whether there is a value to read. Reports a needed one that is lacking; an `example` is given
  /// as it stands in a file, without its quotes.
  [[nodiscard]] bool readable(std::string_view allowed, std::string_view example = {}) const;

  /// Reports "read …; allowed is …".
  void refuse(std::string_view allowed) const;

  /// What stands there, as messages say it: "the number 2.5", "\"2.5 mm\"", "a list", "an object".
  [[nodiscard]] std::string as_read() const;

 private:
  Field(SourceFile& file, std::size_t offset, std::string pointer)
      : file_(&file), offset_(offset), pointer_(std::move(pointer)) {}

  SourceFile* file_;
  const json::Value* value_ = nullptr;
  std::size_t offset_;
  std::string pointer_;
  std::string_view key_;
  bool needed_ = false;
};

/// An object whose keys are read one by one; the keys that are asked for are the keys it may have.
class ObjectReader {
 public:
  ObjectReader(Field field, const json::Object& object)
      : field_(std::move(field)), object_(&object) {}

  [[nodiscard]] Field required(std::string_view key) { return field(key, true); }
  [[nodiscard]] Field optional(std::string_view key) { return field(key, false); }
  /// Whether the object has the key; makes it known.
  [[nodiscard]] bool has(std::string_view key);

  /// Reports every key that was not asked for, with the nearest known one. Call last.
  void refuse_unknown_keys() const;

  /// The object itself.
  [[nodiscard]] const Field& self() const { return field_; }

 private:
  [[nodiscard]] Field field(std::string_view key, bool needed);

  Field field_;
  const json::Object* object_;
  std::vector<std::string_view> known_;
};

/// The names in one list of a file ("shaft", "gear", …), for finding repeated and unknown ones.
class Names {
 public:
  /// `kind` and `kinds` are the word in messages: "shaft", "shafts".
  Names(std::string_view kind, std::string_view kinds) : kind_(kind), kinds_(kinds) {}

  /// Enters the name that stands in `field` at the next index. A repeated one is reported with both
  /// places. An unreadable one takes its index too, so that indexes follow the list of the file.
  void add(const std::optional<std::string>& name, const Field& field);

  /// The index of the name that stands in `field`. An unknown name is reported with the nearest
  /// known one, but not while the list has entries whose name could not be read: it may be one of
  /// those.
  [[nodiscard]] std::optional<std::size_t> find(const Field& field) const;

  /// The same for a name that is the key of a member; `value` is the member's value.
  [[nodiscard]] std::optional<std::size_t> find_key(const json::Member& member,
                                                    const Field& value) const;

  [[nodiscard]] std::size_t size() const { return names_.size(); }
  [[nodiscard]] bool contains(const std::string& name) const { return entries_.contains(name); }
  [[nodiscard]] const std::string& name(std::size_t index) const { return names_[index]; }
  [[nodiscard]] const std::vector<std::string>& all() const { return names_; }
  /// The list itself could not be read.
  void mark_incomplete() { complete_ = false; }

 private:
  struct Entry {
    std::size_t index;
    std::size_t offset;
  };

  /// Each name once.
  [[nodiscard]] std::vector<std::string> distinct() const;
  [[nodiscard]] std::optional<std::size_t> index_of(const std::string& name, std::size_t offset,
                                                    const Field& field) const;

  std::string_view kind_;
  std::string_view kinds_;
  std::vector<std::string> names_;
  std::unordered_map<std::string, Entry> entries_;
  bool complete_ = true;
};

/// What a quantity or a number may be: the words of messages and the rule itself, on the SI value
/// (for levels in degC). Rules are written so that NaN breaks them.
struct ValueRule {
  std::string_view allowed;  ///< with article: "a length above 0"
  bool (*holds)(double value);
  std::string_view example{};  ///< where that of its kind of quantity is another thing
};

namespace rules {
[[nodiscard]] inline bool any(double value) {
  return value == value;
}
[[nodiscard]] inline bool above_zero(double value) {
  return value > 0.0;
}
[[nodiscard]] inline bool not_below_zero(double value) {
  return value >= 0.0;
}
}  // namespace rules

inline constexpr std::size_t most_names_listed = 12;

/// "A, B and C", each quoted; of more than `most`, the first ones and "… (20 in all)".
[[nodiscard]] std::string listed(std::span<const std::string> names,
                                 std::size_t most = most_names_listed);

/// `written` is unknown: "; the nearest is \"…\"" or nothing.
[[nodiscard]] std::string nearest_hint(std::string_view written,
                                       const std::vector<std::string>& known);

[[nodiscard]] std::optional<ObjectReader> read_object(const Field& field, std::string_view allowed);

/// The member of the object that stands in `field`, where there are both; a field not given else.
[[nodiscard]] Field member_of(const Field& field, std::string_view key);

/// Whether an object stands in `field` that has no such key.
[[nodiscard]] bool lacks(const Field& field, std::string_view key);

/// The entries of a list of at least `least` and at most `most` entries.
[[nodiscard]] std::optional<std::vector<Field>> read_list(const Field& field,
                                                          std::string_view allowed,
                                                          std::size_t least,
                                                          std::size_t most = SIZE_MAX);

/// One line of text: no control characters. May be empty.
[[nodiscard]] std::optional<std::string> read_line(const Field& field, std::string_view allowed);

/// A name: one line, not empty, no blank at either end.
[[nodiscard]] std::optional<std::string> read_name(const Field& field, std::string_view allowed);

[[nodiscard]] std::optional<double> read_number(const Field& field, const ValueRule& rule);

/// True or false.
[[nodiscard]] std::optional<bool> read_truth(const Field& field);

/// A whole number from `least` to `most`; 41 may be written 41.0.
[[nodiscard]] std::optional<int> read_whole_number(const Field& field, std::string_view what,
                                                   int least, int most);

namespace detail {

/// Reports that `field` is no quantity; `failure` is why its text is none. `allowed` and `example`
/// are what could stand there.
void refuse_quantity(const Field& field, const units::ParseFailure& failure,
                     std::string_view allowed, std::string_view example);

/// The text in which `field` would give a quantity: a string's content, or a number as written.
[[nodiscard]] std::optional<std::string> quantity_text(const Field& field);

void refuse_value(const Field& field, std::string_view allowed, std::string_view example);

std::optional<std::size_t> read_choice_index(const Field& field,
                                             std::span<const std::string> choices);

}  // namespace detail

/// A quantity with its unit, or a temperature level.
template <class Q>
[[nodiscard]] std::optional<Q> read_quantity(const Field& field, const ValueRule& rule) {
  const std::string_view example =
      rule.example.empty() ? units::quantity_kind<Q>.example : rule.example;
  if (!field.readable(rule.allowed, example)) {
    return std::nullopt;
  }
  const std::optional<std::string> text = detail::quantity_text(field);
  if (!text) {
    detail::refuse_value(field, rule.allowed, example);
    return std::nullopt;
  }
  const units::ParseResult<Q> result = units::try_parse<Q>(*text);
  if (!result) {
    detail::refuse_quantity(
        field, result.failure(), rule.allowed,
        in_quotes(rule.example.empty() ? result.failure().example : std::string(rule.example)));
    return std::nullopt;
  }
  if (!rule.holds(result.value().value())) {
    detail::refuse_value(field, rule.allowed, example);
    return std::nullopt;
  }
  return result.value();
}

/// One of several words.
[[nodiscard]] std::optional<std::string> read_word(const Field& field,
                                                   std::span<const std::string> words);

/// A word of an enumeration.
template <class E>
[[nodiscard]] std::optional<E> read_choice(
    const Field& field, std::initializer_list<std::pair<std::string_view, E>> choices) {
  std::vector<std::string> words;
  for (const auto& choice : choices) {
    words.emplace_back(choice.first);
  }
  const auto index = detail::read_choice_index(field, words);
  if (!index) {
    return std::nullopt;
  }
  return (choices.begin() + *index)->second;
}

}  // namespace lashband::io
