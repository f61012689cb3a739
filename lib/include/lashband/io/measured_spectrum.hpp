#pragma once

#include <filesystem>

#include "lashband/design/frequencies.hpp"

namespace lashband::io {

/// The spectrum in a table of comma-separated values as spreadsheets and analysers write it. Its
/// form is that of records of temperatures (docs/input-format.md): UTF-8, comma, semicolon or tab,
/// decimal point or comma, one head line.
///
/// The first column is `frequency` with a unit (Hz, kHz, 1/min, cpm, or a speed such as rpm or
/// rad/s, which is turned into turns per second) or `order` without one; both rise from row to row,
/// from 0 or above. The second has any name and unit: amplitudes or powers, 0 or more. Where its
/// unit begins with dB, or is dB, the numbers are levels and become amplitudes 10^(L/20), whatever
/// they refer to. There are five rows or more, and no third column.
///
/// An order axis is taken at one revolution a second. Throws InputErrors with line and column of
/// everything that is wrong, and where the file is missing, no plain file or unreadable.
[[nodiscard]] design::MeasuredInput measured_spectrum(const std::filesystem::path& file);

}  // namespace lashband::io
