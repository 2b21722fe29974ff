#include "piece/shrinkage.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "core/error.h"

namespace underdraw {
namespace {

constexpr std::array<const char*, 5> kNames = {"wet", "leather-hard", "dry", "bisque", "glazed"};
constexpr double kMostPercent = 30.0;  // far above any clay body; catches 0.06 for 6 and 60 for 6

double left_after(const std::optional<double>& percent, const char* step) {
  if (percent) return 1.0 - *percent / 100.0;
  throw OptionError({.file = {},
                     .line = {},
                     .found = fmt::format("the shrinkage of '{}' is not known", step),
                     .expected = "percent of length, from a test bar",
                     .remedy = fmt::format("measure a bar and state {} under [clay]", step)});
}

std::string percent(const std::optional<double>& value) {
  return value ? fmt::format("{:.3g} %", *value) : "not known";
}

}  // namespace

std::string name_of(ClayStage stage) { return kNames[static_cast<std::size_t>(stage)]; }

std::optional<ClayStage> clay_stage_named(const std::string& name) {
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (name == kNames[i]) return static_cast<ClayStage>(i);
  }
  return {};
}

void Shrinkage::validate() const {
  if (drying_percent) require_between(*drying_percent, 0.0, kMostPercent, "drying", "percent");
  if (bisque_percent) require_between(*bisque_percent, 0.0, kMostPercent, "bisque", "percent");
  if (glaze_percent) require_between(*glaze_percent, 0.0, kMostPercent, "glaze", "percent");
}

double Shrinkage::factor(ClayStage from, ClayStage to) const {
  validate();
  if (to < from) return 1.0 / factor(to, from);
  double left = 1.0;
  const auto passes = [&](ClayStage step_end) { return from < step_end && step_end <= to; };
  if (from == ClayStage::wet && to >= ClayStage::dry) {
    left *= left_after(drying_percent, "drying");  // whole: no root, no rounding
  } else {
    if (passes(ClayStage::leather_hard)) left *= std::sqrt(left_after(drying_percent, "drying"));
    if (passes(ClayStage::dry)) left *= std::sqrt(left_after(drying_percent, "drying"));
  }
  if (passes(ClayStage::bisque)) left *= left_after(bisque_percent, "bisque");
  if (passes(ClayStage::glazed)) left *= left_after(glaze_percent, "glaze");
  return left;
}

double Clay::transfer_from_measured() const { return shrinkage.factor(measured_at, transfer_at); }

double Clay::transfer_from_finished() const {
  return shrinkage.factor(ClayStage::glazed, transfer_at);
}

double Clay::finished_from_measured() const {
  return shrinkage.factor(measured_at, ClayStage::glazed);
}

std::vector<double> Clay::sizes_from_transfer() const {
  const auto known = [&](ClayStage step_end) {
    if (step_end == ClayStage::glazed) return shrinkage.glaze_percent.has_value();
    if (step_end == ClayStage::bisque) return shrinkage.bisque_percent.has_value();
    return shrinkage.drying_percent.has_value();
  };
  std::vector<double> sizes{1.0};
  const auto add = [&](ClayStage to) {
    const double size = shrinkage.factor(transfer_at, to);
    if (std::find(sizes.begin(), sizes.end(), size) == sizes.end()) sizes.push_back(size);
  };
  const int lines = static_cast<int>(transfer_at);
  for (int i = lines + 1; i <= static_cast<int>(ClayStage::glazed); ++i) {
    if (!known(static_cast<ClayStage>(i))) break;
    add(static_cast<ClayStage>(i));
  }
  for (int i = lines - 1; i >= 0; --i) {
    if (!known(static_cast<ClayStage>(i + 1))) break;
    add(static_cast<ClayStage>(i));
  }
  return sizes;
}

std::string Clay::explained() const {
  std::string steps;
  if (transfer_at < ClayStage::dry) {
    const char* part =
        transfer_at == ClayStage::leather_hard ? "the second half of drying " : "drying ";
    steps += part + percent(shrinkage.drying_percent) + ", ";
  }
  if (transfer_at < ClayStage::bisque)
    steps += "bisque " + percent(shrinkage.bisque_percent) + ", ";
  if (transfer_at < ClayStage::glazed) steps += "glaze " + percent(shrinkage.glaze_percent) + ", ";
  std::string text =
      fmt::format("measured {}, lines go on {}", name_of(measured_at), name_of(transfer_at));
  if (measured_at != transfer_at) {
    text += fmt::format(": tape lengths x {:.4f}", transfer_from_measured());
  }
  if (steps.empty()) return text + "; nothing shrinks after that";
  steps.resize(steps.size() - 2);
  const double grow = transfer_from_finished();
  return text + fmt::format("; still to come: {} = {:.2f} % in all, so finished sizes x {:.4f}",
                            steps,
                            100.0 * (1.0 - 1.0 / grow),
                            grow);
}

}  // namespace underdraw
