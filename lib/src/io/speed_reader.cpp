#include <algorithm>
#include <cmath>
#include <iomanip>
#include <locale>
#include <sstream>
#include <utility>

#include "io/design_draft.hpp"

// The speed of a condition: of the reference shaft, or of several shafts, which the tooth numbers
// then tie to each other.
namespace lashband::io {
namespace {

using units::AngularVelocity;

/// By how much speeds of one group may differ, of the greater: what rounding in a file makes.
constexpr double greatest_disagreement = 1e-9;
/// Ratios of long trains have hundreds of digits.
constexpr std::size_t longest_ratio = 40;

constexpr ValueRule signed_speed{"a speed, with its sign", rules::any};
constexpr ValueRule speed_or_object{
    "a speed of at least 0 (or an object that gives shafts their speeds)", rules::not_below_zero};

struct WrittenSpeed {
  std::size_t shaft = 0;
  AngularVelocity speed;
  Field field;
};

/// How the teeth, and the planet arm if there is one, tie the speeds of one group.
class TiedSpeeds {
 public:
  TiedSpeeds(const train::Train& train, const std::optional<train::SpeedOrders>& orders)
      : train_(&train), orders_(orders ? &*orders : nullptr) {}

  [[nodiscard]] bool stands_still(std::size_t shaft) const {
    return orders_ != nullptr && orders_->shaft[shaft] && *orders_->shaft[shaft] == 0;
  }

  /// Speed of one shaft over that of another of its group, which does not stand still.
  [[nodiscard]] train::ExactRatio exact_ratio(std::size_t of, std::size_t to) const {
    return order(of) / order(to);
  }

  /// The speed that one shaft has by that of another of its group, within 1e-15 relative; infinite
  /// where it is beyond the range of numbers.
  [[nodiscard]] AngularVelocity speed(std::size_t of, const WrittenSpeed& by) const {
    return by.speed == AngularVelocity() ? AngularVelocity() : ratio(of, by.shaft) * by.speed;
  }

 private:
  /// Exact ratios of long trains take their time, so that these are used only where a number leaves
  /// the range on the way.
  [[nodiscard]] double ratio(std::size_t of, std::size_t to) const {
    const double above = train::nearest_double(order(of));
    const double below = train::nearest_double(order(to));
    const double quotient = above / below;
    return std::isnormal(above) && std::isnormal(below) && std::isnormal(quotient)
               ? quotient
               : train::nearest_double(exact_ratio(of, to));
  }

  /// Speed over one that is the same for all shafts of a group.
  [[nodiscard]] const train::ExactRatio& order(std::size_t shaft) const {
    return orders_ != nullptr && orders_->shaft[shaft] ? *orders_->shaft[shaft]
                                                       : train_->ratio(shaft);
  }

  const train::Train* train_;
  const train::SpeedOrders* orders_;
};

std::vector<WrittenSpeed> read_written(const Draft& draft, const Field& field) {
  std::vector<WrittenSpeed> written;
  for (const json::Member& member : std::get<json::Object>(field.value().data)) {
    const Field value(field.file(), member.value, json::pointer_to(field.pointer(), member.key));
    const auto speed = read_quantity<AngularVelocity>(value, signed_speed);
    const auto shaft = draft.shaft_names.find_key(member, value);
    if (speed && shaft) {
      written.push_back({*shaft, *speed, value});
    }
  }
  return written;
}

/// Without the last digits, which are rounding.
std::string in_rpm(AngularVelocity speed) {
  constexpr int digits = 12;
  std::ostringstream text;
  text.imbue(std::locale::classic());
  text << std::setprecision(digits) << units::value_in(speed, "rpm") << " rpm";
  return text.str();
}

/// Whether a speed is what that of `base` makes it; reports where it is not.
bool agrees(const Draft& draft, const WrittenSpeed& found, const WrittenSpeed& base,
            const TiedSpeeds& tied) {
  const AngularVelocity expected = tied.speed(found.shaft, base);
  const double greater = std::max(std::abs(found.speed.value()), std::abs(expected.value()));
  if (std::isfinite(expected.value()) &&
      std::abs(found.speed.value() - expected.value()) <= greatest_disagreement * greater) {
    return true;
  }
  // The text of a long ratio takes its time, too much for a file made of nothing else.
  const std::string times = found.field.file().suggests_names()
                                ? train::text_of(tied.exact_ratio(found.shaft, base.shaft))
                                : std::string();
  const bool has_times = !times.empty() && times.size() <= longest_ratio;
  found.field.report(
      "read " + found.field.as_read() + ", but the tooth numbers make it " +
      (std::isfinite(expected.value()) ? in_rpm(expected) : "greater than any number") +
      (has_times ? ", " + times + " times" : ", from") + " the speed " + base.field.as_read() +
      " of the shaft " + in_quotes(draft.shaft_names.name(base.shaft)) + " at " +
      base.field.file().place(base.field.offset()) +
      "; allowed is a relative difference of at most 1e-9");
  return false;
}

/// Reports a shaft that is said to turn and cannot.
void check_standing(const WrittenSpeed& found) {
  if (found.speed != AngularVelocity()) {
    found.field.report("read " + found.field.as_read() +
                       ", but with the planet arm and the tooth numbers this shaft stands still; "
                       "allowed is 0 rpm");
  }
}

/// Checks the speeds of one group against each other and enters the group's speed.
void settle_group(const Draft& draft, ConditionDraft& condition,
                  const std::vector<WrittenSpeed>& written, std::size_t reference,
                  bool with_reference, const TiedSpeeds& tied) {
  const WrittenSpeed* base = nullptr;
  for (const WrittenSpeed& entry : written) {
    if (tied.stands_still(entry.shaft)) {
      check_standing(entry);
    } else if (base == nullptr || entry.shaft == reference) {
      base = &entry;
    }
  }
  if (base == nullptr) {
    return;
  }
  for (const WrittenSpeed& entry : written) {
    if (&entry != base && !tied.stands_still(entry.shaft) && !agrees(draft, entry, *base, tied)) {
      return;
    }
  }
  if (!with_reference) {
    condition.speeds.push_back({base->shaft, base->speed});
    return;
  }
  AngularVelocity speed = base->speed;
  if (base->shaft != reference) {
    speed = tied.speed(reference, *base);
  }
  const bool vanished = speed == AngularVelocity() && base->speed != AngularVelocity();
  if (!std::isfinite(speed.value()) || vanished) {
    base->field.report("read " + base->field.as_read() + ", which makes the speed of the shaft " +
                       in_quotes(draft.shaft_names.name(reference)) +
                       (vanished ? " smaller" : " greater") + " than any number");
    return;
  }
  condition.speed = speed;
  condition.speeds.push_back({reference, speed});
}

}  // namespace

void read_speed(Draft& draft, ConditionDraft& condition, const Field& field) {
  const std::size_t reference = draft.train.settings.reference;
  if (!field.given() || !std::holds_alternative<json::Object>(field.value().data)) {
    condition.speed = read_quantity<AngularVelocity>(field, speed_or_object);
    if (condition.speed) {
      condition.speeds.push_back({reference, *condition.speed});
    }
    return;
  }
  if (std::get<json::Object>(field.value().data).empty()) {
    field.report("read an object without a shaft; allowed is the speed of at least one shaft");
    return;
  }
  const std::vector<WrittenSpeed> written = read_written(draft, field);
  const train::Train* train = train_of(draft);
  if (train == nullptr || draft.train.arm_in_doubt) {
    return;  // what is wrong with the train is reported
  }
  std::map<std::size_t, std::vector<WrittenSpeed>> by_group;
  for (const WrittenSpeed& entry : written) {
    by_group[train->group(entry.shaft)].push_back(entry);
  }
  const TiedSpeeds tied(*train, draft.train.orders);
  for (const auto& [group, speeds] : by_group) {
    settle_group(draft, condition, speeds, reference, group == train->group(reference), tied);
  }
}

}  // namespace lashband::io
