#include "lashband/io/input_changes.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <variant>

#include "io/json_document.hpp"
#include "io/shown_text.hpp"

namespace lashband::io {
namespace {

using json::List;
using json::Member;
using json::Object;
using json::Value;

// A value as JSON on one line, cut where it would be no help to a reader any more.
class OneLine {
 public:
  [[nodiscard]] static std::string of(const Value& value) {
    constexpr std::size_t longest = 200;
    OneLine line;
    line.add(value);
    if (line.text_.size() <= longest) {
      return line.text_;
    }
    std::size_t end = 0;
    while (end < longest) {
      end += utf8_at(line.text_, end).bytes;
    }
    return line.text_.substr(0, end) + "…";
  }

 private:
  void add(const Value& value) {
    if (const auto* flag = std::get_if<bool>(&value.data)) {
      text_ += *flag ? "true" : "false";
    } else if (const auto* number = std::get_if<double>(&value.data)) {
      text_ += number_text(*number);
    } else if (const auto* string = std::get_if<std::string>(&value.data)) {
      text_ += in_quotes(*string);
    } else if (const auto* list = std::get_if<List>(&value.data)) {
      text_ += '[';
      for (const Value& entry : *list) {
        text_ += &entry == list->data() ? "" : ", ";
        add(entry);
      }
      text_ += ']';
    } else if (const auto* object = std::get_if<Object>(&value.data)) {
      text_ += "{ ";
      for (const Member& member : *object) {
        text_ += (&member == object->data() ? "" : ", ") + in_quotes(member.key) + ": ";
        add(member.value);
      }
      text_ += " }";
    } else {
      text_ += "null";
    }
  }

  std::string text_;
};

bool same(const Value& a, const Value& b);

bool same(const Object& a, const Object& b) {
  return a.size() == b.size() && std::all_of(a.begin(), a.end(), [&b](const Member& member) {
           const Member* other = json::find(b, member.key);
           return other != nullptr && same(member.value, other->value);
         });
}

bool same(const List& a, const List& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Value& x, const Value& y) { return same(x, y); });
}

bool same(const Value& a, const Value& b) {
  if (a.data.index() != b.data.index()) {
    return false;
  }
  if (const auto* flag = std::get_if<bool>(&a.data)) {
    return *flag == std::get<bool>(b.data);
  }
  if (const auto* number = std::get_if<double>(&a.data)) {
    return *number == std::get<double>(b.data);
  }
  if (const auto* string = std::get_if<std::string>(&a.data)) {
    return *string == std::get<std::string>(b.data);
  }
  if (const auto* list = std::get_if<List>(&a.data)) {
    return same(*list, std::get<List>(b.data));
  }
  if (const auto* object = std::get_if<Object>(&a.data)) {
    return same(*object, std::get<Object>(b.data));
  }
  return true;
}

std::optional<std::string> id_of(const Value& value) {
  if (const auto* object = std::get_if<Object>(&value.data)) {
    if (const Member* id = json::find(*object, "id")) {
      if (const auto* text = std::get_if<std::string>(&id->value.data)) {
        return *text;
      }
    }
  }
  return std::nullopt;
}

bool holds_objects(const List& list) {
  return std::all_of(list.begin(), list.end(),
                     [](const Value& value) { return std::holds_alternative<Object>(value.data); });
}

class Changes {
 public:
  void compare(const std::string& where, const Value& first, const Value& second) {
    if (same(first, second)) {
      return;
    }
    const auto* a = std::get_if<Object>(&first.data);
    const auto* b = std::get_if<Object>(&second.data);
    if (a != nullptr && b != nullptr) {
      compare_objects(where, *a, *b);
      return;
    }
    const auto* list = std::get_if<List>(&first.data);
    const auto* other = std::get_if<List>(&second.data);
    if (list != nullptr && other != nullptr && holds_objects(*list) && holds_objects(*other)) {
      compare_lists(where, *list, *other);
      return;
    }
    found_.push_back({where, OneLine::of(first), OneLine::of(second)});
  }

  [[nodiscard]] std::vector<InputChange> take() { return std::move(found_); }

 private:
  [[nodiscard]] static std::string below(const std::string& where, const std::string& step) {
    return where.empty() ? step : where + ", " + step;
  }

  void compare_objects(const std::string& where, const Object& first, const Object& second) {
    for (const Member& member : first) {
      const std::string place = below(where, shown(member.key));
      if (const Member* other = json::find(second, member.key)) {
        compare(place, member.value, other->value);
      } else {
        found_.push_back({place, OneLine::of(member.value), ""});
      }
    }
    for (const Member& member : second) {
      if (json::find(first, member.key) == nullptr) {
        found_.push_back({below(where, shown(member.key)), "", OneLine::of(member.value)});
      }
    }
  }

  // The entry that stands for list[i] in the other list: the one of its id, or of its number.
  [[nodiscard]] static const Value* counterpart(const List& list, std::size_t i,
                                                const List& other) {
    const auto id = id_of(list[i]);
    if (!id) {
      return i < other.size() && !id_of(other[i]) ? &other[i] : nullptr;
    }
    const auto found =
        std::find_if(other.begin(), other.end(), [&id](const Value& v) { return id_of(v) == id; });
    return found == other.end() ? nullptr : &*found;
  }

  [[nodiscard]] static std::string place_of(const std::string& where, const List& list,
                                            std::size_t i) {
    const auto id = id_of(list[i]);
    return where + " " + (id ? shown(*id) : std::to_string(i + 1));
  }

  void compare_lists(const std::string& where, const List& first, const List& second) {
    for (std::size_t i = 0; i < first.size(); ++i) {
      const std::string place = place_of(where, first, i);
      if (const Value* other = counterpart(first, i, second)) {
        compare(place, first[i], *other);
      } else {
        found_.push_back({place, OneLine::of(first[i]), ""});
      }
    }
    for (std::size_t i = 0; i < second.size(); ++i) {
      if (counterpart(second, i, first) == nullptr) {
        found_.push_back({place_of(where, second, i), "", OneLine::of(second[i])});
      }
    }
  }

  std::vector<InputChange> found_;
};

}  // namespace

std::vector<InputChange> input_changes(std::string_view first, std::string_view second) {
  const json::Parsed a = json::parse(first);
  const json::Parsed b = json::parse(second);
  Changes changes;
  if (a.root && b.root) {
    changes.compare("", *a.root, *b.root);
  }
  return changes.take();
}

}  // namespace lashband::io
