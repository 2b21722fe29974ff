#include <fmt/format.h>

#include "sheet/page_frame.h"
#include "sheet/printer_correction.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

constexpr double kMargin = 8.0;
constexpr double kTick = 5.0;       // long enough to lay a ruler to
constexpr double kBarInset = 2.7;   // from the margin to the bar down
constexpr double kBarAbove = 2.7;   // from the margin to the bar across
constexpr double kWordsInset = 16;  // from the bar down to the words
constexpr double kTextSize = 3.6;
constexpr double kLegendSize = 3.0;
constexpr double kParagraphGap = 3.0;
constexpr double kBlankAbove = 9.0;  // room to write by hand
constexpr Grey kBlank{0.5};

std::vector<std::string> how_to_measure() {
  return {
      "Print this page at 100 %, nothing fitted to the page, on the paper and with the kind of "
      "print that your sheets get. Let the paper cool.",
      "Measure both bars with a long ruler, from the middle of one end tick to the middle of "
      "the other, to a quarter of a millimetre if you can. Write both lengths down here:"};
}

std::vector<std::string> what_comes_next() {
  return {"Give the printer a name and tell the program what you measured, for example:",
          fmt::format("underdraw printer studio-laser --across {:g} --down {:g}",
                      kPrinterAcrossMm - 0.75,
                      kPrinterDownMm + 0.5),
          "From then on, printer = \"studio-laser\" under [paper] in piece.toml, or --printer "
          "studio-laser, makes sheets that come out true from this printer."};
}

std::vector<std::string> how_to_check(const PrinterCorrection& printer) {
  return {fmt::format("This page makes up for its printer: {}.", printer_error_words(printer)),
          fmt::format("Print it at 100 %, nothing fitted to the page. The bars should now measure "
                      "{:.0f} mm across and {:.0f} mm down. Is one of them more than half a "
                      "millimetre off, print the test page again and measure it afresh; measures "
                      "taken here are not for the program.",
                      kPrinterAcrossMm,
                      kPrinterDownMm)};
}

// Running text and blanks from top to bottom.
class Column {
 public:
  Column(std::vector<Mark>& marks, Box room) : marks_(marks), room_(room) {}

  void write(const std::vector<std::string>& paragraphs) {
    for (const std::string& paragraph : paragraphs) {
      for (const std::string& line : broken_text(paragraph, room_.width(), kTextSize)) {
        room_.min.y += kLineSpacing * kTextSize;
        marks_.emplace_back(TextMark{line, room_.min, kTextSize, Align::left, false, 0.0, {}});
      }
      room_.min.y += kParagraphGap;
    }
  }

  void blank(const std::string& before, const std::string& after) {
    constexpr double kFrom = 22.0;
    constexpr double kTo = 62.0;
    room_.min.y += kBlankAbove;
    const Vec2 at = room_.min;
    marks_.emplace_back(TextMark{before, at, kTextSize, Align::left, true, 0.0, {}});
    marks_.emplace_back(
        TextMark{after, at + Vec2{kTo + 2.0, 0.0}, kTextSize, Align::left, false, 0.0, {}});
    PathMark line;
    line.line_width_mm = 0.2;
    line.line = kBlank;
    line.paths = {line_between(at + Vec2{kFrom, 0.8}, at + Vec2{kTo, 0.8})};
    marks_.emplace_back(line);
  }

  void skip(double mm) { room_.min.y += mm; }

 private:
  std::vector<Mark>& marks_;
  Box room_;
};

}  // namespace

Drawing draw_printer_page(const PaperSize& paper, const std::optional<PrinterCorrection>& printer) {
  SheetOptions options;
  options.paper = paper;
  options.margin_mm = kMargin;
  options.printer = printer;
  const SheetFrame frame = frame_of(options);
  const Box& room = frame.printable;
  Drawing page{paper.width_mm, paper.height_mm, {}};
  page.marks = head_marks(frame,
                          {printer ? "Check page: " + printer->name : "Test page for a printer",
                           paper.name,
                           "print at 100 %",
                           "· nothing fitted to the page"});

  const Vec2 corner{room.min.x + kBarInset, room.max.y - kBarAbove};
  const Bar across{corner, corner + Vec2{kPrinterAcrossMm, 0.0}};
  const Bar down{corner - Vec2{0.0, kPrinterDownMm}, corner};
  page.marks.emplace_back(bar_mark(across, kTick));
  page.marks.emplace_back(bar_mark(down, kTick));
  TextMark legend;
  legend.height_mm = kLegendSize;
  legend.align = Align::centre;
  legend.text = fmt::format("across: {:.0f} mm", kPrinterAcrossMm);
  legend.at = mix(across.from, across.to, 0.5) - Vec2{0.0, 3.6};
  page.marks.emplace_back(legend);
  legend.text = fmt::format("down: {:.0f} mm", kPrinterDownMm);
  legend.turn_deg = -90.0;
  legend.at = mix(down.from, down.to, 0.5) + Vec2{5.8, 0.0};
  page.marks.emplace_back(legend);

  Column column(page.marks,
                {{corner.x + kWordsInset, down.from.y + 2.0}, {across.to.x, corner.y - 10.0}});
  if (printer) {
    column.write(how_to_check(*printer));
    return page;
  }
  column.write(how_to_measure());
  column.blank("across", fmt::format("of {:.0f} mm", kPrinterAcrossMm));
  column.blank("down", fmt::format("of {:.0f} mm", kPrinterDownMm));
  column.blank("printer", "");
  column.skip(10.0);
  column.write(what_comes_next());
  return page;
}

}  // namespace underdraw
