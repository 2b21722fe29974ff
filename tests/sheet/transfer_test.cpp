#include "sheet/transfer.h"

#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "core/error.h"

namespace underdraw {
namespace {

TEST(TransferMethod, FlipIsTheParityOfReversals) {
  for (int contacts = 0; contacts <= 3; ++contacts) {
    for (int tracings = 0; tracings <= 3; ++tracings) {
      // Each reversal swaps left and right once; the print must undo what remains.
      bool swapped = false;
      for (int i = 0; i < contacts + tracings; ++i) swapped = !swapped;
      EXPECT_EQ(printed_mirrored(TransferSteps{contacts, tracings, {}, {}}), swapped);
    }
  }
}

// Workshop practice, no published source: what is pressed face down comes out reversed.
TEST(TransferMethod, OnlyMethodsThatLayTheLinesFaceDownPrintMirrored) {
  EXPECT_FALSE(printed_mirrored(TransferMethod::carbon));
  EXPECT_FALSE(printed_mirrored(TransferMethod::shaded_back));
  // Followed from the back, then laid back down: reversed twice.
  EXPECT_FALSE(printed_mirrored(TransferMethod::both_sides));
  EXPECT_TRUE(printed_mirrored(TransferMethod::face_down));
  EXPECT_FALSE(printed_mirrored(TransferMethod::pricked));
  EXPECT_TRUE(printed_mirrored(TransferMethod::tissue));
}

TEST(TransferMethod, EveryNameLeadsBackToItself) {
  ASSERT_EQ(transfer_names().size(), 6U);
  for (const std::string& name : transfer_names()) {
    EXPECT_EQ(transfer_name(transfer_method(name)), name);
    EXPECT_FALSE(transfer_steps(transfer_method(name)).sentences.empty());
  }
}

// docs/transfer-methods.md has a row for each method, and it says what the code does.
TEST(TransferMethod, TheTableInTheDocsIsTrue) {
  std::ifstream file(std::filesystem::path(UNDERDRAW_SOURCE_DIR) / "docs/transfer-methods.md");
  std::set<std::string> seen;
  for (std::string line; std::getline(file, line);) {
    if (!line.starts_with("| `")) continue;
    std::vector<std::string> cells;
    std::stringstream row(line);
    for (std::string cell; std::getline(row, cell, '|');) {
      const std::size_t from = cell.find_first_not_of(" `");
      const std::size_t to = cell.find_last_not_of(" `");
      if (from != std::string::npos) cells.push_back(cell.substr(from, to - from + 1));
    }
    ASSERT_EQ(cells.size(), 6U) << line;
    const TransferSteps& steps = transfer_steps(transfer_method(cells[0]));
    EXPECT_EQ(cells[2], steps.side) << line;
    EXPECT_EQ(cells[3], std::to_string(steps.face_down_contacts)) << line;
    EXPECT_EQ(cells[4], std::to_string(steps.tracings_from_back)) << line;
    EXPECT_EQ(cells[5], printed_mirrored(steps) ? "mirrored" : "as drawn") << line;
    seen.insert(cells[0]);
  }
  EXPECT_EQ(seen.size(), transfer_names().size());
}

TEST(TransferMethod, AnUnknownNameIsRefusedWithTheKnownOnes) {
  try {
    transfer_method("ironing");
    FAIL() << "ironing was accepted";
  } catch (const OptionError& e) {
    for (const std::string& name : transfer_names()) {
      EXPECT_NE(std::string(e.what()).find(name), std::string::npos) << e.what();
    }
  }
}

}  // namespace
}  // namespace underdraw
