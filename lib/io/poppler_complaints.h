// Keeps poppler off the terminal and hands over what it had to say.
//
// Stage:   io, internal to it.
// poppler complains through one function for all threads and all documents, so it is set in one
// place only; what concerns a page is said on the thread that renders it.
#pragma once

#include <string>

namespace underdraw {

// poppler no longer writes to the terminal. Cheap to call again.
void quiet_poppler();

// Gathers the complaints made on this thread while it lives. The innermost one gets them.
class PopplerComplaints {
 public:
  PopplerComplaints();
  PopplerComplaints(const PopplerComplaints&) = delete;
  PopplerComplaints& operator=(const PopplerComplaints&) = delete;
  ~PopplerComplaints();

  const std::string& first() const { return first_; }  // empty when there was none

 private:
  friend void note_poppler_complaint(const std::string& text, void* unused);
  std::string first_;
  PopplerComplaints* outer_ = nullptr;
};

}  // namespace underdraw
