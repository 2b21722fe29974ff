// The one place where failures become exit codes: 0 done, 1 refused or failed, 2 wrong use.

#include <cstdio>
#include <exception>
#include <filesystem>
#include <new>
#include <string>

#include "core/one_line.h"
#include "io/disk_refusal.h"
#include "program.h"

namespace {

enum ExitCode { kDone = 0, kFailed = 1, kWrongUse = 2 };

ExitCode complain(const std::string& complaint, ExitCode code) {
  std::fputs(("underdraw: " + underdraw::one_line(complaint) + "\n").c_str(), stderr);
  return code;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace underdraw::cli;
  try {
    return run_program({argv + 1, argv + argc}) == Outcome::done ? kDone : kFailed;
  } catch (const UsageError& error) {
    return complain(error.what(), kWrongUse);
  } catch (const std::bad_alloc&) {
    return complain("not enough memory; close other programs, or scan at a lower resolution",
                    kFailed);
  } catch (const std::filesystem::filesystem_error& error) {
    return complain(underdraw::disk_refusal(error).what(), kFailed);
  } catch (const std::exception& error) {
    return complain(error.what(), kFailed);
  }
}
