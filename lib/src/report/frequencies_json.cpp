#include "json_parts.hpp"
#include "lashband/design/frequencies.hpp"
#include "lashband/report/json.hpp"
#include "lashband/units/rotation.hpp"
#include "line_words.hpp"
#include "selection.hpp"
#include "train_selection.hpp"

namespace lashband::report {
namespace {

using units::value_in;

Json line_name(const spectrum::Line& line) {
  Json json = {
      {"kind", kind_word(line.kind)}, {"source", line.source}, {"harmonic", line.harmonic}};
  if (line.kind == spectrum::LineKind::sideband) {
    json["sideband"] = line.sideband;
    json["around"] = line.around;
  }
  json["order"] = line.order;
  return json;
}

Json speeds_of(const std::vector<design::NamedSpeed>& speeds) {
  Json json = Json::array();
  for (const design::NamedSpeed& speed : speeds) {
    Json one = Json::object();
    if (!speed.condition.empty()) {
      one["condition"] = speed.condition;
    }
    one["speed"] = quantity(speed.speed);
    json.push_back(std::move(one));
  }
  return json;
}

Json lines_of(const design::FrequenciesResult& result, const View& view,
              const std::vector<design::NamedSpeed>& speeds) {
  Json json = Json::array();
  for (const spectrum::Line& line : result.lines) {
    if (!shows_line(view, line)) {
      continue;
    }
    Json one = line_name(line);
    if (!speeds.empty()) {
      Json values = Json::array();
      for (const design::NamedSpeed& speed : speeds) {
        values.push_back(value_in(design::frequency_of(line, speed.speed), "Hz"));
      }
      one["frequency"] = {{"values", std::move(values)}, {"unit", "Hz"}};
    }
    json.push_back(std::move(one));
  }
  return json;
}

void add(Json& json, const char* key, const std::optional<double>& value) {
  if (value) {
    json[key] = *value;
  }
}

Json meetings_of(const design::FrequenciesResult& result, const View& view) {
  Json json = Json::array();
  for (const design::MeshMeeting& mesh : result.meshes) {
    if (!shows_mesh(view, mesh.mesh)) {
      continue;
    }
    const spectrum::ToothMeeting& meeting = mesh.meeting;
    Json one = {{"mesh", mesh.mesh},
                {"teeth", {mesh.teeth_1, mesh.teeth_2}},
                {"common_factor", meeting.common_factor},
                {"hunting", meeting.hunting},
                {"partners", {meeting.partners_of_1, meeting.partners_of_2}},
                {"revolutions", {meeting.revolutions_1, meeting.revolutions_2}}};
    add(one, "mesh_order", mesh.mesh_order);
    add(one, "hunting_tooth_order", mesh.hunting_tooth_order);
    add(one, "assembly_phase_order", mesh.assembly_phase_order);
    json.push_back(std::move(one));
  }
  return json;
}

Json phases_of(const design::FrequenciesResult& result, const View& view) {
  Json json = Json::array();
  for (const design::MeshPhase& phase : result.phases) {
    if (shows_mesh(view, phase.mesh_1) || shows_mesh(view, phase.mesh_2)) {
      json.push_back({{"gear", phase.gear},
                      {"meshes", {phase.mesh_1, phase.mesh_2}},
                      {"turned", quantity(phase.turned)},
                      {"idler", phase.idler},
                      {"phase", phase.phase}});
    }
  }
  return json;
}

Json coincidences_of(const design::FrequenciesResult& result) {
  Json found = Json::array();
  for (const spectrum::Coincidence& one : result.coincidences) {
    found.push_back({{"line_1", line_name(result.lines.at(one.line_1))},
                     {"line_2", line_name(result.lines.at(one.line_2))},
                     {"apart", one.apart}});
  }
  return {{"within", result.coincidence_options.within},
          {"found", std::move(found)},
          {"more", result.coincidences.more}};
}

Json peak_of(const design::FrequenciesResult& result, const design::MeasuredResult& measured,
             const spectrum::AttributedPeak& attributed) {
  const bool over_orders = measured.axis == design::MeasuredInput::Axis::order;
  Json json = Json::object();
  if (over_orders) {
    json["measured_order"] = value_in(attributed.peak.frequency, "Hz");
  } else {
    json["frequency"] = quantity(attributed.peak.frequency);
  }
  json["order"] = attributed.order;
  json["amplitude"] = attributed.peak.amplitude;
  json["prominence"] = attributed.peak.prominence;
  json["by_chance"] = attributed.by_chance;
  Json& candidates = json["candidates"] = Json::array();
  for (const spectrum::Candidate& candidate : attributed.candidates) {
    Json one = {{"line", line_name(result.lines.at(candidate.line))}};
    if (!over_orders) {
      one["error"] = quantity(candidate.error);
    }
    one["order_error"] = candidate.order_error;
    candidates.push_back(std::move(one));
  }
  return json;
}

Json measured_of(const design::FrequenciesResult& result, const design::MeasuredResult& measured) {
  const bool over_orders = measured.axis == design::MeasuredInput::Axis::order;
  const spectrum::Attribution& attribution = measured.attribution;
  Json json = {{"file", measured.file}, {"axis", over_orders ? "order" : "frequency"}};
  if (over_orders) {
    json["order_factor"] = units::frequency(attribution.speed).value();
    if (attribution.standard_error) {
      json["order_factor_standard_error"] = units::frequency(*attribution.standard_error).value();
    }
  } else {
    json["speed_given"] = quantity(measured.speed_given);
    json["speed"] = quantity(attribution.speed);
    if (attribution.standard_error) {
      json["speed_standard_error"] = quantity(*attribution.standard_error);
    }
  }
  json["refined"] = attribution.refined;
  json["used"] = attribution.used;
  json["unexplained"] = measured.unexplained;
  Json& peaks = json["peaks"] = Json::array();
  for (const spectrum::AttributedPeak& peak : attribution.peaks) {
    peaks.push_back(peak_of(result, measured, peak));
  }
  return json;
}

}  // namespace

std::string json(const design::FrequenciesResult& result, const View& view) {
  Json json = head("frequencies", result.input);
  json["reference"] = result.reference;
  const std::vector<design::NamedSpeed> speeds = shown_speeds(result, view);
  json["speeds"] = speeds_of(speeds);
  if (result.range) {
    json["range"] = true;
  }
  json["lines"] = lines_of(result, view, speeds);
  json["meshes"] = meetings_of(result, view);
  json["phases"] = phases_of(result, view);
  json["coincidences"] = coincidences_of(result);
  if (result.measured) {
    json["measured"] = measured_of(result, *result.measured);
  }
  json["warnings"] = warnings(result.warnings, {});
  return written(json);
}

}  // namespace lashband::report
