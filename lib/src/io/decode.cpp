#include "io/decode.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "lashband/nearest_name.hpp"

namespace lashband::io {
namespace {

/// Longer texts are nobody's misspelling, and looking for the nearest name takes time.
constexpr std::size_t longest_misspelling = 64;

}  // namespace

const json::Value* SourceFile::root() {
  json::Parsed parsed = json::parse(text_);
  for (json::SyntaxProblem& problem : parsed.problems) {
    report(problem.offset, std::move(problem.pointer), std::move(problem.message));
  }
  further_ += parsed.further_problems;
  root_ = std::move(parsed.root);
  return root_ ? &*root_ : nullptr;
}

void SourceFile::report(std::size_t offset, std::string pointer, std::string message) {
  if (problems_.size() < json::most_problems) {
    problems_.push_back({offset, std::move(pointer), std::move(message)});
  } else {
    ++further_;
  }
}

std::vector<InputProblem> SourceFile::problems() const {
  std::vector<Found> sorted = problems_;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Found& a, const Found& b) { return a.offset < b.offset; });
  std::vector<InputProblem> result;
  for (Found& found : sorted) {
    const json::LineAndColumn place = places_.at(found.offset);
    result.push_back(
        {name_, place.line, place.column, std::move(found.pointer), std::move(found.message)});
  }
  if (further_ > 0) {
    result.push_back(
        {name_, 0, 0, "", std::to_string(further_) + " further problems are not listed"});
  }
  return result;
}

std::string SourceFile::place(std::size_t offset) const {
  const json::LineAndColumn place = places_.at(offset);
  return "line " + std::to_string(place.line) + ", column " + std::to_string(place.column);
}

Field Field::lacking(SourceFile& file, std::size_t offset, std::string pointer_of_object,
                     std::string_view key, bool needed) {
  Field field(file, offset, std::move(pointer_of_object));
  field.key_ = key;
  field.needed_ = needed;
  return field;
}

bool Field::readable(std::string_view allowed, std::string_view example) const {
  if (!given() && needed_) {
    report("the key " + in_quotes(key_) + " is missing; needed is " + std::string(allowed) +
           (example.empty() ? "" : ", such as " + in_quotes(example)));
  }
  return given();
}

void Field::refuse(std::string_view allowed) const {
  report("read " + as_read() + "; allowed is " + std::string(allowed));
}

std::string Field::as_read() const {
  if (std::holds_alternative<double>(value_->data)) {
    return "the number " + shown(file_->text().substr(value_->offset, value_->length));
  }
  if (const auto* text = std::get_if<std::string>(&value_->data)) {
    return in_quotes(*text);
  }
  if (const auto* truth = std::get_if<bool>(&value_->data)) {
    return *truth ? "true" : "false";
  }
  if (const auto* list = std::get_if<json::List>(&value_->data)) {
    return list->empty()       ? "an empty list"
           : list->size() == 1 ? "a list of 1 entry"
                               : "a list of " + std::to_string(list->size()) + " entries";
  }
  return std::holds_alternative<json::Object>(value_->data) ? "an object" : "null";
}

bool ObjectReader::has(std::string_view key) {
  known_.push_back(key);
  return json::find(*object_, key) != nullptr;
}

Field ObjectReader::field(std::string_view key, bool needed) {
  known_.push_back(key);
  if (const json::Member* member = json::find(*object_, key)) {
    return {field_.file(), member->value, json::pointer_to(field_.pointer(), key)};
  }
  return Field::lacking(field_.file(), field_.offset(), field_.pointer(), key, needed);
}

void ObjectReader::refuse_unknown_keys() const {
  std::vector<std::string> known;
  for (const std::string_view key : known_) {
    if (std::find(known.begin(), known.end(), key) == known.end()) {
      known.emplace_back(key);
    }
  }
  for (const json::Member& member : *object_) {
    if (std::find(known_.begin(), known_.end(), member.key) != known_.end()) {
      continue;
    }
    std::string message = "read the key " + in_quotes(member.key);
    if (field_.file().suggests_names()) {
      message += nearest_hint(member.key, known) +
                 (known.size() == 1 ? "; allowed is " : "; allowed are ") +
                 listed(known, known.size());
    }
    field_.file().report(member.key_offset, json::pointer_to(field_.pointer(), member.key),
                         std::move(message));
  }
}

void Names::add(const std::optional<std::string>& name, const Field& field) {
  const std::size_t index = names_.size();
  names_.push_back(name.value_or(""));
  if (!name) {
    complete_ = false;
    return;
  }
  const auto [entry, is_new] = entries_.emplace(*name, Entry{index, field.offset()});
  if (!is_new) {
    field.report("read the name " + in_quotes(*name) + " again, which the " + std::string(kind_) +
                 " at " + field.file().place(entry->second.offset) +
                 " has already; allowed is each name once");
  }
}

std::optional<std::size_t> Names::find(const Field& field) const {
  const std::string allowed = "the name of a " + std::string(kind_);
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  const auto* name = std::get_if<std::string>(&field.value().data);
  if (name == nullptr) {
    field.refuse(allowed);
    return std::nullopt;
  }
  return index_of(*name, field.offset(), field);
}

std::optional<std::size_t> Names::find_key(const json::Member& member, const Field& value) const {
  return index_of(member.key, member.key_offset, value);
}

std::optional<std::size_t> Names::index_of(const std::string& name, std::size_t offset,
                                           const Field& field) const {
  const auto entry = entries_.find(name);
  if (entry != entries_.end()) {
    return entry->second.index;
  }
  if (complete_) {
    std::string message =
        "read " + in_quotes(name) + ", which is no " + std::string(kind_) + " of this file";
    if (field.file().suggests_names()) {
      const std::vector<std::string> names = distinct();
      message +=
          nearest_hint(name, names) +
          (names.empty()       ? "; the file has none"
           : names.size() == 1 ? "; allowed is " + in_quotes(names.front())
                               : "; allowed are the " + std::string(kinds_) + " " + listed(names));
    }
    field.file().report(offset, field.pointer(), std::move(message));
  }
  return std::nullopt;
}

std::vector<std::string> Names::distinct() const {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < names_.size(); ++i) {
    const auto entry = entries_.find(names_[i]);
    if (entry != entries_.end() && entry->second.index == i) {
      names.push_back(names_[i]);
    }
  }
  return names;
}

std::string listed(std::span<const std::string> names, std::size_t most) {
  std::string result;
  const std::size_t shown_names = std::min(names.size(), most);
  for (std::size_t i = 0; i < shown_names; ++i) {
    const bool last = i + 1 == names.size();
    result += i == 0 ? "" : last ? " and " : ", ";
    result += in_quotes(names[i]);
  }
  if (names.size() > shown_names) {
    result += ", … (" + std::to_string(names.size()) + " in all)";
  }
  return result;
}

std::string nearest_hint(std::string_view written, const std::vector<std::string>& known) {
  if (written.size() > longest_misspelling) {
    return "";
  }
  std::vector<std::string> short_names;
  std::copy_if(known.begin(), known.end(), std::back_inserter(short_names),
               [](const std::string& name) { return name.size() <= 2 * longest_misspelling; });
  const auto nearest = nearest_name(written, short_names);
  return nearest ? "; the nearest is " + in_quotes(*nearest) : "";
}

std::optional<ObjectReader> read_object(const Field& field, std::string_view allowed) {
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  if (const auto* object = std::get_if<json::Object>(&field.value().data)) {
    return ObjectReader(field, *object);
  }
  field.refuse(allowed);
  return std::nullopt;
}

Field member_of(const Field& field, std::string_view key) {
  const auto* object = field.given() ? std::get_if<json::Object>(&field.value().data) : nullptr;
  const json::Member* member = object != nullptr ? json::find(*object, key) : nullptr;
  return member != nullptr
             ? Field(field.file(), member->value, json::pointer_to(field.pointer(), key))
             : Field::lacking(field.file(), field.offset(), field.pointer(), key, false);
}

bool lacks(const Field& field, std::string_view key) {
  return field.given() && std::holds_alternative<json::Object>(field.value().data) &&
         !member_of(field, key).given();
}

std::optional<std::vector<Field>> read_list(const Field& field, std::string_view allowed,
                                            std::size_t least, std::size_t most) {
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  const auto* list = std::get_if<json::List>(&field.value().data);
  if (list == nullptr || list->size() < least || list->size() > most) {
    field.refuse(allowed);
    return std::nullopt;
  }
  std::vector<Field> entries;
  entries.reserve(list->size());
  for (std::size_t i = 0; i < list->size(); ++i) {
    entries.emplace_back(field.file(), (*list)[i], json::pointer_to(field.pointer(), i));
  }
  return entries;
}

std::optional<std::string> read_line(const Field& field, std::string_view allowed) {
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  const auto* text = std::get_if<std::string>(&field.value().data);
  if (text == nullptr) {
    field.refuse(allowed);
    return std::nullopt;
  }
  for (std::size_t offset = 0; offset < text->size();) {
    const Utf8Character character = utf8_at(*text, offset);
    if (is_control(character.code_point)) {
      field.report("read " + in_quotes(*text) +
                   ", which holds a control character; allowed is text on one line");
      return std::nullopt;
    }
    offset += character.bytes;
  }
  return *text;
}

std::optional<std::string> read_name(const Field& field, std::string_view allowed) {
  std::optional<std::string> text = read_line(field, allowed);
  if (text && (text->empty() || text->front() == ' ' || text->back() == ' ')) {
    field.report("read " + in_quotes(*text) +
                 "; allowed is text that is not empty and has no blank at either end");
    return std::nullopt;
  }
  return text;
}

std::optional<double> read_number(const Field& field, const ValueRule& rule) {
  if (!field.readable(rule.allowed)) {
    return std::nullopt;
  }
  const auto* number = std::get_if<double>(&field.value().data);
  if (number == nullptr || !rule.holds(*number)) {
    field.refuse(rule.allowed);
    return std::nullopt;
  }
  return *number;
}

std::optional<bool> read_truth(const Field& field) {
  constexpr std::string_view allowed = "true or false";
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  const auto* truth = std::get_if<bool>(&field.value().data);
  if (truth == nullptr) {
    field.refuse(allowed);
    return std::nullopt;
  }
  return *truth;
}

std::optional<int> read_whole_number(const Field& field, std::string_view what, int least,
                                     int most) {
  const auto* number = field.given() ? std::get_if<double>(&field.value().data) : nullptr;
  if (number != nullptr && *number >= least && *number <= most && std::trunc(*number) == *number) {
    return static_cast<int>(*number);
  }
  const std::string allowed =
      std::string(what) + " from " + std::to_string(least) + " to " + std::to_string(most);
  if (field.readable(allowed)) {
    field.refuse(allowed);
  }
  return std::nullopt;
}

std::optional<std::string> read_word(const Field& field, std::span<const std::string> words) {
  const auto index = detail::read_choice_index(field, words);
  return index ? std::optional(words[*index]) : std::nullopt;
}

namespace detail {

std::optional<std::string> quantity_text(const Field& field) {
  if (const auto* text = std::get_if<std::string>(&field.value().data)) {
    return *text;
  }
  if (std::holds_alternative<double>(field.value().data)) {
    // A bare number is no quantity; asking the units for it yields the form that it should have.
    return std::string(field.file().text().substr(field.offset(), field.value().length));
  }
  return std::nullopt;
}

void refuse_quantity(const Field& field, const units::ParseFailure& failure,
                     std::string_view allowed, std::string_view example) {
  const auto* text = std::get_if<std::string>(&field.value().data);
  if (text == nullptr) {
    field.report("read " + field.as_read() + "; allowed is " + std::string(allowed) +
                 ", written with its unit in quotes, such as " + std::string(example));
    return;
  }
  // The parser's column within the string is one within the file as long as no escape stands
  // before.
  const std::string_view written =
      field.file().text().substr(field.offset() + 1, field.value().length - 2);
  std::size_t offset = field.offset();
  if (written == *text) {
    std::size_t within = 0;
    for (std::size_t i = 1; i < failure.column && within < written.size(); ++i) {
      within += utf8_at(written, within).bytes;
    }
    offset += 1 + within;
  }
  // Where the quantity is of another kind, the parser says itself what was read.
  const bool says_what_was_read = failure.reason.rfind("read ", 0) == 0;
  field.file().report(offset, field.pointer(),
                      (says_what_was_read ? "" : "read " + in_quotes(*text) + ": ") +
                          failure.reason + "; allowed is " + std::string(allowed) + ", such as " +
                          std::string(example));
}

void refuse_value(const Field& field, std::string_view allowed, std::string_view example) {
  field.report("read " + field.as_read() + "; allowed is " + std::string(allowed) + ", such as " +
               in_quotes(example));
}

std::optional<std::size_t> read_choice_index(const Field& field,
                                             std::span<const std::string> choices) {
  const std::string allowed = "one of " + listed(choices);
  if (!field.readable(allowed)) {
    return std::nullopt;
  }
  const auto* word = std::get_if<std::string>(&field.value().data);
  if (word == nullptr) {
    field.refuse(allowed);
    return std::nullopt;
  }
  const auto choice = std::find(choices.begin(), choices.end(), *word);
  if (choice == choices.end()) {
    const std::vector<std::string> known(choices.begin(), choices.end());
    field.report("read " + in_quotes(*word) + nearest_hint(*word, known) + "; allowed is " +
                 allowed);
    return std::nullopt;
  }
  return static_cast<std::size_t>(choice - choices.begin());
}

}  // namespace detail
}  // namespace lashband::io
