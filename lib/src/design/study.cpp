#include "lashband/design/study.hpp"

#include <utility>

#include "carriers_run.hpp"
#include "courses.hpp"
#include "warmup_run.hpp"

namespace lashband::design {

Study study(Design design, const RunOptions& options) {
  Study study;
  study.design = std::move(design);
  study.layout = layout(study.design);
  const Courses courses = courses_of(study.design, options);
  study.carriers = carriers(study.design, options, courses);
  study.budget = budget(study.design, study.backlash(), options, BudgetExtent::envelope);
  study.warmup = warmup(study.design, study.design.carrier_in_use, options, courses);
  study.train = train_of(study.design, study.backlash(), options);
  study.frequencies = frequencies(study.design);
  if (study.design.torsion) {
    study.torsion = torsion_of(study.design, study.backlash(), options);
  }
  return study;
}

}  // namespace lashband::design
