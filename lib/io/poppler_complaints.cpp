#include "io/poppler_complaints.h"

#include <mutex>
#include <utility>

#include <poppler-global.h>

namespace underdraw {
namespace {

thread_local PopplerComplaints* innermost = nullptr;

}  // namespace

void note_poppler_complaint(const std::string& text, void*) {
  if (innermost && innermost->first_.empty()) innermost->first_ = text;
}

void quiet_poppler() {
  static std::once_flag once;
  std::call_once(once, [] { poppler::set_debug_error_function(note_poppler_complaint, nullptr); });
}

PopplerComplaints::PopplerComplaints() {
  quiet_poppler();
  outer_ = std::exchange(innermost, this);
}

PopplerComplaints::~PopplerComplaints() { innermost = outer_; }

}  // namespace underdraw
