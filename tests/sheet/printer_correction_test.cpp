#include "sheet/printer_correction.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "core/error.h"
#include "sheet/page_frame.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

const Vec2 kA4{210.0, 297.0};  // ISO 216, table 1
const Vec2 kA4Sideways{297.0, 210.0};

// Plain arithmetic: 179.1 of 180 is 0.5 % short, 220.66 of 220 is 0.3 % long.
TEST(MeasuredPrinter, TheFactorsAreMeasuredByDue) {
  const MeasuredPrinter measured = measured_printer("studio-laser", 179.1, 220.66);
  EXPECT_EQ(measured.printer.name, "studio-laser");
  EXPECT_NEAR(measured.printer.across, 0.995, 1e-12);
  EXPECT_NEAR(measured.printer.down, 1.003, 1e-12);
  EXPECT_TRUE(measured.warnings.empty());
}

std::string refusal(double across_mm, double down_mm) {
  try {
    measured_printer("studio-laser", across_mm, down_mm);
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

TEST(MeasuredPrinter, MoreThanFivePercentOffIsRefusedWithWhatToDo) {
  EXPECT_EQ(refusal(171.0, 220.0), "accepted");  // 5 % is the most
  EXPECT_EQ(refusal(180.0, 231.0), "accepted");
  const std::string across = refusal(170.9, 220.0);
  EXPECT_NE(across.find("bar across measures 170.9 mm (expected 180 mm, at most 5 % off)"),
            std::string::npos)
      << across;
  EXPECT_NE(across.find("print the test page at 100 %"), std::string::npos) << across;
  EXPECT_NE(refusal(180.0, 231.1).find("bar down measures 231.1 mm"), std::string::npos);
  EXPECT_NE(refusal(220.0, 180.0).find("bar across"), std::string::npos);  // exchanged
  EXPECT_NE(refusal(std::numeric_limits<double>::quiet_NaN(), 220.0).find("bar across"),
            std::string::npos);
}

TEST(MeasuredPrinter, WhatLooksLikeAFittedPageIsQuestioned) {
  const MeasuredPrinter fitted = measured_printer("studio-laser", 0.97 * 180.0, 0.97 * 220.0);
  ASSERT_EQ(fitted.warnings.size(), 1U);
  EXPECT_NE(fitted.warnings[0].find("both bars are 3.0 % too short"), std::string::npos);
  EXPECT_NE(fitted.warnings[0].find("fitted to the paper"), std::string::npos);
  const MeasuredPrinter odd = measured_printer("studio-laser", 176.4, 220.0);
  ASSERT_EQ(odd.warnings.size(), 1U);
  EXPECT_NE(odd.warnings[0].find("-2.0 % across and 0.0 % down"), std::string::npos)
      << odd.warnings[0];
}

TEST(PrinterCorrection, NamesThatWouldNotStandOnOneLineAreRefused) {
  for (const std::string& name : {std::string(),
                                  std::string("two\nlines"),
                                  std::string(" left"),
                                  std::string("right "),
                                  std::string(41, 'x')}) {
    EXPECT_THROW(PrinterCorrection({name, 1.0, 1.0}).validate(), OptionError) << name;
  }
  EXPECT_NO_THROW(PrinterCorrection({"Möwe, upstairs", 1.0, 1.0}).validate());
  EXPECT_THROW(PrinterCorrection({"laser", 1.06, 1.0}).validate(), OptionError);
}

TEST(PrintedFromSent, ScalesAboutTheMiddleAndTurnsWithThePage) {
  const PrinterCorrection printer{"laser", 0.99, 1.02};
  const Affine upright = printed_from_sent(printer, kA4);
  EXPECT_NEAR(distance(upright * (kA4 / 2.0), kA4 / 2.0), 0.0, 1e-12);
  const Vec2 corner = upright * Vec2{0.0, 0.0};
  EXPECT_NEAR(corner.x, 0.01 * 105.0, 1e-12);
  EXPECT_NEAR(corner.y, -0.02 * 148.5, 1e-12);
  // A page on its side goes through the printer turned: its height lies across the paper.
  const Affine sideways = printed_from_sent(printer, kA4Sideways);
  EXPECT_EQ(sideways.xx, 1.02);
  EXPECT_EQ(sideways.yy, 0.99);
}

// Wherever the printer scales from, nothing inside the frame is sent or printed outside what the
// printer can print.
TEST(PrintedMargins, HoldForPrintersThatScaleFromTheMiddleOrFromAnyCorner) {
  constexpr double kMargin = 6.0;
  for (const double across : {0.95, 0.995, 1.0, 1.004, 1.05}) {
    for (const double down : {0.95, 0.997, 1.0, 1.01, 1.05}) {
      const PrinterCorrection printer{"laser", across, down};
      for (const Vec2 page : {kA4, kA4Sideways}) {
        const Vec2 margins = printed_margins(printer, page, kMargin);
        const Box frame{margins, page - margins};
        const Box can = Box{{0.0, 0.0}, page}.grown(-kMargin + 1e-9);
        const Affine scaled = printed_from_sent(printer, page);
        for (const Vec2 from : {Vec2{0.0, 0.0}, page, page / 2.0, Vec2{page.x, 0.0}}) {
          // What the printer does when it scales about `from` instead.
          const Affine printed =
              Affine::translate(from - page / 2.0) * scaled * Affine::translate(page / 2.0 - from);
          for (const Vec2 corner : {frame.min, frame.max}) {
            const Vec2 sent = scaled.inverse() * corner;
            EXPECT_TRUE(can.contains(sent)) << across << " " << down;
            EXPECT_TRUE(can.contains(printed * sent)) << across << " " << down;
          }
        }
      }
    }
  }
  EXPECT_EQ(printed_margins({}, kA4, kMargin), (Vec2{kMargin, kMargin}));
}

Box ink_box(const Drawing& page) {
  Box box;
  for (const Mark& mark : page.marks) {
    if (const auto* path = std::get_if<PathMark>(&mark)) {
      for (const Path& p : path->paths) box.add(p.box().grown(path->line_width_mm / 2.0));
    } else {
      box.add(text_box(std::get<TextMark>(mark)));
    }
  }
  return box;
}

TEST(PrinterPage, BarsAreTheirLengthAndAllIsInsideTheMarginsOnEveryPaper) {
  for (const std::string& name : paper_names()) {
    const PaperSize paper = paper_size(name);
    for (const std::optional<PrinterCorrection>& printer :
         {std::optional<PrinterCorrection>(),
          std::optional<PrinterCorrection>({"studio-laser", 0.95, 1.05})}) {
      const Drawing page = draw_printer_page(paper, printer);
      EXPECT_EQ(page.width_mm, paper.width_mm);
      const Vec2 margins = printed_margins(printer, {paper.width_mm, paper.height_mm}, 8.0);
      const Box free{margins, Vec2{paper.width_mm, paper.height_mm} - margins};
      EXPECT_TRUE(free.contains(ink_box(page))) << name;
      bool across = false;
      bool down = false;
      for (const Mark& mark : page.marks) {
        const auto* path = std::get_if<PathMark>(&mark);
        if (path == nullptr || path->paths.size() < 10) continue;
        const Box line = path->paths.front().box();
        across = across || std::abs(line.width() - kPrinterAcrossMm) < 1e-9;
        down = down || std::abs(line.height() - kPrinterDownMm) < 1e-9;
      }
      EXPECT_TRUE(across && down) << name;
    }
  }
}

std::vector<Box> word_boxes(const Drawing& page) {
  std::vector<Box> boxes;
  for (const Mark& mark : page.marks) {
    if (const auto* text = std::get_if<TextMark>(&mark)) boxes.push_back(text_box(*text));
  }
  return boxes;
}

TEST(PrinterPage, NoWordsLieOnOthers) {
  for (const std::string& name : paper_names()) {
    const std::vector<Box> boxes = word_boxes(draw_printer_page(paper_size(name)));
    EXPECT_GT(boxes.size(), 10U);
    for (std::size_t i = 0; i < boxes.size(); ++i) {
      for (std::size_t j = i + 1; j < boxes.size(); ++j) {
        EXPECT_FALSE(boxes[i].overlaps(boxes[j])) << name << " " << i << " " << j;
      }
    }
  }
}

}  // namespace
}  // namespace underdraw
