#include "sheet/transfer.h"

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
  EXPECT_TRUE(printed_mirrored(TransferMethod::face_down));
  EXPECT_FALSE(printed_mirrored(TransferMethod::pricked));
  EXPECT_TRUE(printed_mirrored(TransferMethod::tissue));
}

TEST(TransferMethod, EveryNameLeadsBackToItself) {
  ASSERT_EQ(transfer_names().size(), 5U);
  for (const std::string& name : transfer_names()) {
    EXPECT_EQ(transfer_name(transfer_method(name)), name);
    EXPECT_FALSE(transfer_steps(transfer_method(name)).sentences.empty());
  }
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
