// The table of bad inputs, end to end, for every command: the exit code that is documented, one
// clear line that names what is wrong and what to do, and nothing changed on the disk.
//
// Source: no source; the promises are those of docs/reliability.md.
#include <algorithm>
#include <set>

#include <gtest/gtest.h>

#include "cli/bad_inputs/harbour.h"

namespace underdraw::test {
namespace {

void expect_refused(const std::vector<BadInput>& rows) {
  const Harbour desk;
  const auto whole = desk.contents();
  std::set<std::string> names;
  for (const BadInput& bad : rows) {
    EXPECT_TRUE(names.insert(bad.wrong).second) << bad.wrong << " stands twice in the table";
    if (bad.spoil) bad.spoil(desk);
    const auto before = bad.spoil ? desk.contents() : whole;
    const ProgramRun run = desk.run(bad.words);
    const std::string changed = changes(before, desk.contents());
    const std::string wrong = broken_promises(bad, run) + changed;
    if (!wrong.empty()) ADD_FAILURE() << bad.wrong << "\n" << wrong << "  it said: " << run.err;
    if (bad.spoil || !changed.empty()) desk.restore();
  }
}

TEST(BadInputs, OfTheCommandLineAreWrongUse) { expect_refused(bad_uses()); }
TEST(BadInputs, OfPieceAndClassFilesAreRefused) { expect_refused(bad_piece_files()); }
TEST(BadInputs, OfArrangementsAreRefused) { expect_refused(bad_arrangements()); }
TEST(BadInputs, OfPagesAreRefused) { expect_refused(bad_pages()); }
TEST(BadInputs, OfMotifsAndSheetsAreRefused) { expect_refused(bad_motifs()); }
TEST(BadInputs, OfPhotosAndTheRecordAreRefused) { expect_refused(bad_photos()); }
TEST(BadInputs, OfFoldersAndNamesAreRefused) { expect_refused(bad_folders()); }

TEST(BadInputs, AreTwoHundredAndCoverEveryCommand) {
  std::set<std::string> commands;
  std::size_t count = 0;
  for (const auto& rows : {bad_uses(),
                           bad_piece_files(),
                           bad_arrangements(),
                           bad_pages(),
                           bad_motifs(),
                           bad_photos(),
                           bad_folders()}) {
    for (const BadInput& bad : rows) {
      if (!bad.words.empty()) commands.insert(bad.words.front());
    }
    count += rows.size();
  }
  EXPECT_GE(count, 200U);
  for (const char* name : {"new",
                           "run",
                           "trace",
                           "vary",
                           "place",
                           "sheet",
                           "proof",
                           "printer",
                           "paper",
                           "mat",
                           "keep",
                           "recover"}) {
    EXPECT_TRUE(commands.contains(name)) << name;
  }
}

}  // namespace
}  // namespace underdraw::test
