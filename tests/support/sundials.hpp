#pragma once

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_types.h>
#include <sundials/sundials_version.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <cstddef>
#include <functional>
#include <stdexcept>
#include <string>
#include <vector>

/// Ordinary differential equations by SUNDIALS, version 6 (Debian 12) and 7 (Debian 13): the
/// integrator that tests compare with.
namespace lashband::test {

using Derivative = std::function<void(double time, const double* state, double* derivative)>;

/// CVODE's stiff method (BDF, dense Newton) from one state on; the right-hand side must be smooth
/// between two calls of `restart`.
class StiffIntegrator {
 public:
  StiffIntegrator(Derivative derivative, const std::vector<double>& state, double relative,
                  double absolute)
      : derivative_(std::move(derivative)) {
#if SUNDIALS_VERSION_MAJOR >= 7
    check(SUNContext_Create(SUN_COMM_NULL, &context_), "SUNContext_Create");
#else
    check(SUNContext_Create(nullptr, &context_), "SUNContext_Create");
#endif
    const auto size = static_cast<sunindextype>(state.size());
    state_ = N_VNew_Serial(size, context_);
    matrix_ = SUNDenseMatrix(size, size, context_);
    solver_ = SUNLinSol_Dense(state_, matrix_, context_);
    memory_ = CVodeCreate(CV_BDF, context_);
    for (std::size_t i = 0; i < state.size(); ++i) {
      N_VGetArrayPointer(state_)[i] = state[i];
    }
    check(CVodeInit(memory_, &StiffIntegrator::call, 0.0, state_), "CVodeInit");
    check(CVodeSStolerances(memory_, relative, absolute), "CVodeSStolerances");
    check(CVodeSetUserData(memory_, this), "CVodeSetUserData");
    check(CVodeSetLinearSolver(memory_, solver_, matrix_), "CVodeSetLinearSolver");
    check(CVodeSetMaxNumSteps(memory_, 10000000), "CVodeSetMaxNumSteps");
  }
  StiffIntegrator(const StiffIntegrator&) = delete;
  StiffIntegrator& operator=(const StiffIntegrator&) = delete;
  StiffIntegrator(StiffIntegrator&&) = delete;
  StiffIntegrator& operator=(StiffIntegrator&&) = delete;
  ~StiffIntegrator() {
    CVodeFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(matrix_);
    N_VDestroy(state_);
    SUNContext_Free(&context_);
  }

  /// Goes on from `time` as from a new beginning: behind a kink.
  void restart(double time) {
    time_ = time;
    check(CVodeReInit(memory_, time, state_), "CVodeReInit");
  }

  /// The state at a later time; the right-hand side is not asked for beyond it.
  [[nodiscard]] std::vector<double> at(double time) {
    if (time > time_) {
      check(CVodeSetStopTime(memory_, time), "CVodeSetStopTime");
      check(CVode(memory_, time, state_, &time_, CV_NORMAL), "CVode");
    }
    const double* values = N_VGetArrayPointer(state_);
    return {values, values + N_VGetLength(state_)};
  }

 private:
  static int call(double time, N_Vector state, N_Vector derivative, void* self) {
    static_cast<StiffIntegrator*>(self)->derivative_(time, N_VGetArrayPointer(state),
                                                     N_VGetArrayPointer(derivative));
    return 0;
  }

  static void check(int result, const char* what) {
    if (result < 0) {
      throw std::runtime_error(std::string(what) + " failed: " + std::to_string(result));
    }
  }

  Derivative derivative_;
  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
  double time_ = 0.0;
};

}  // namespace lashband::test
