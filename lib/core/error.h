// What is thrown when something is refused, in the words that the person reads.
//
// Stage:   core. Used by every folder.
// Every complaint is one line: where, what was found, what was expected, what to do.
#pragma once

#include <optional>
#include <stdexcept>
#include <string>

namespace underdraw {

// The parts of a complaint, kept apart so that callers can test them and `--json` can print them.
struct Complaint {
  std::string file;         // file, folder or option concerned; empty when there is none
  std::optional<int> line;  // 1-based line in that file
  std::string found;        // "says 1 dpi"
  std::string expected;     // "50 to 2400 dpi"; may be empty
  std::string remedy;       // "pass --dpi 300 or scan again"; may be empty

  // "pages/3.png:12: says 1 dpi (expected 50 to 2400 dpi); pass --dpi 300 or scan again"
  std::string text() const;
};

class Error : public std::runtime_error {
 public:
  explicit Error(Complaint complaint)
      : std::runtime_error(complaint.text()), complaint_(std::move(complaint)) {}
  const Complaint& complaint() const { return complaint_; }

 private:
  Complaint complaint_;
};

// A file or its content cannot be used.
class InputError : public Error {
 public:
  using Error::Error;
};

// An option is outside its range: subject is the field, found the value, expected the rule.
class OptionError : public Error {
 public:
  using Error::Error;
};

// Shapes or measurements contradict each other or do not fit.
class GeometryError : public Error {
 public:
  using Error::Error;
};

// Something could not be written; what was there before is untouched.
class OutputError : public Error {
 public:
  using Error::Error;
};

// Throws OptionError unless low <= value <= high; NaN is refused.
void require_between(
    double value, double low, double high, const std::string& field, const std::string& unit);

}  // namespace underdraw
