#include "io/write_drawing.h"

#include <cmath>
#include <memory>

#include <gtest/gtest.h>
#include <poppler-document.h>
#include <poppler-embedded-file.h>
#include <poppler-page.h>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>

#include "core/error.h"
#include "io/svg_drawing.h"
#include "sheet/paper.h"
#include "sheet/shapes.h"
#include "sheet/text_width.h"

namespace underdraw {
namespace {

Drawing page_with_words(const std::string& words, double width_mm = 210, double height_mm = 297) {
  Drawing page{width_mm, height_mm, {}};
  page.marks.emplace_back(TextMark{words, {20, 20}, 5.0, Align::left, false, 0.0, {}});
  PathMark line;
  line.paths = {line_between({20, 30}, {60, 30})};
  page.marks.emplace_back(line);
  return page;
}

std::unique_ptr<poppler::document> with_poppler(const std::string& pdf) {
  return std::unique_ptr<poppler::document>(
      poppler::document::load_from_raw_data(pdf.data(), static_cast<int>(pdf.size())));
}

// Sizes by two readers that did not write them: poppler and qpdf. Sizes in points are those of
// ISO 216 and ASME Y14.1 at 72 points an inch.
TEST(WriteDrawing, PageSizesAreExactForPopplerAndQpdf) {
  for (const std::string& name : paper_names()) {
    const PaperSize paper = paper_size(name);
    const std::string pdf =
        pdf_of_drawings({page_with_words("size", paper.width_mm, paper.height_mm)});
    const auto document = with_poppler(pdf);
    ASSERT_TRUE(document);
    const std::unique_ptr<poppler::page> page(document->create_page(0));
    const poppler::rectf rect = page->page_rect(poppler::media_box);
    EXPECT_NEAR(rect.width() * 25.4 / 72.0, paper.width_mm, 0.001) << name;
    EXPECT_NEAR(rect.height() * 25.4 / 72.0, paper.height_mm, 0.001) << name;

    QPDF qpdf;
    qpdf.processMemoryFile("test", pdf.data(), pdf.size());
    auto object = QPDFPageDocumentHelper(qpdf).getAllPages().at(0).getObjectHandle();
    for (const char* key : {"/MediaBox", "/TrimBox"}) {
      const auto box = object.getKey(key).getArrayAsRectangle();
      EXPECT_NEAR((box.urx - box.llx) * 25.4 / 72.0, paper.width_mm, 0.001) << name << key;
      EXPECT_NEAR((box.ury - box.lly) * 25.4 / 72.0, paper.height_mm, 0.001) << name << key;
    }
    EXPECT_FALSE(object.hasKey("/UserUnit"));
  }
}

TEST(WriteDrawing, ViewersAreAskedNotToScale) {
  const std::string pdf = pdf_of_drawings({page_with_words("scale")}, {.title = "Scale"});
  QPDF qpdf;
  qpdf.processMemoryFile("test", pdf.data(), pdf.size());
  auto preferences = qpdf.getRoot().getKey("/ViewerPreferences");
  EXPECT_EQ(preferences.getKey("/PrintScaling").getName(), "/None");
  EXPECT_EQ(preferences.getKey("/Enforce").getArrayItem(0).getName(), "/PrintScaling");
  EXPECT_TRUE(preferences.getKey("/PickTrayByPDFSize").getBoolValue());
}

TEST(WriteDrawing, FontsAreEmbedded) {
  Drawing page = page_with_words("Möwe & Tang – 45.0° × 3");
  page.marks.emplace_back(TextMark{"bold", {20, 50}, 4.0, Align::left, true, 0.0, {}});
  const std::string pdf = pdf_of_drawings({page});
  QPDF qpdf;
  qpdf.processMemoryFile("test", pdf.data(), pdf.size());
  int fonts = 0;
  for (QPDFObjectHandle object : qpdf.getAllObjects()) {
    if (!object.isDictionaryOfType("/FontDescriptor")) continue;
    ++fonts;
    EXPECT_NE(object.getKey("/FontName").getName().find("OpenSans"), std::string::npos);
    EXPECT_TRUE(object.hasKey("/FontFile2") || object.hasKey("/FontFile3"));
  }
  EXPECT_EQ(fonts, 2);
}

TEST(WriteDrawing, TextAndTitleSurviveAsUnicode) {
  const std::string pdf =
      pdf_of_drawings({page_with_words("Möwe „Tang“ <&>")}, {.title = "Krug „Hafen“ \\ (blau)"});
  const auto document = with_poppler(pdf);
  const std::unique_ptr<poppler::page> page(document->create_page(0));
  const auto text = page->text().to_utf8();
  EXPECT_NE(std::string(text.data(), text.size()).find("Möwe „Tang“ <&>"), std::string::npos);
  const auto title = document->get_title().to_utf8();
  EXPECT_EQ(std::string(title.data(), title.size()), "Krug „Hafen“ \\ (blau)");
}

TEST(WriteDrawing, DamagedAndForeignTextIsDrawnAndDoesNotFail) {
  EXPECT_NO_THROW(pdf_of_drawings({page_with_words("\xC3\x28 \xFF")}, {.title = "\xFF"}));
  EXPECT_NO_THROW(pdf_of_drawings({page_with_words("陶器 Кувшин κανάτα")}));
}

TEST(WriteDrawing, AttachmentsComeBackByteForByte) {
  std::string content = "{\"a\": \"ü\"}\n";
  content.push_back('\0');
  const std::string pdf =
      pdf_of_drawings({page_with_words("with a file")},
                      {.attachments = {{"sheets.json", "application/json", content}}});
  const auto document = with_poppler(pdf);
  ASSERT_EQ(document->embedded_files().size(), 1U);
  const poppler::embedded_file* file = document->embedded_files()[0];
  EXPECT_EQ(file->name(), "sheets.json");
  const poppler::byte_array data = file->data();
  EXPECT_EQ(std::string(data.data(), data.size()), content);
}

TEST(WriteDrawing, TheSameDrawingGivesTheSameBytes) {
  const Drawing page = page_with_words("twice");
  EXPECT_EQ(pdf_of_drawings({page}), pdf_of_drawings({page}));
  const PdfOptions dated{.created = "2024-05-01T09:30:00+02:00"};
  EXPECT_EQ(pdf_of_drawings({page}, dated), pdf_of_drawings({page}, dated));
  EXPECT_EQ(svg_of_drawing(page), svg_of_drawing(page));
  EXPECT_EQ(png_of_drawing(page), png_of_drawing(page));
}

TEST(WriteDrawing, TheDateIsTheOneGiven) {
  const std::string pdf =
      pdf_of_drawings({page_with_words("dated")}, {.created = "2024-05-01T09:30:00+02:00"});
  QPDF qpdf;
  qpdf.processMemoryFile("test", pdf.data(), pdf.size());
  auto info = qpdf.getTrailer().getKey("/Info");
  EXPECT_EQ(info.getKey("/CreationDate").getUTF8Value().rfind("D:20240501", 0), 0U);
  const std::string undated = pdf_of_drawings({page_with_words("undated")});
  QPDF other;
  other.processMemoryFile("test", undated.data(), undated.size());
  EXPECT_FALSE(other.getTrailer().getKey("/Info").hasKey("/CreationDate"));
}

// The table that pages are laid out by, against the font that they are printed in.
TEST(WriteDrawing, TheFontIsAsWideAsTheTableSays) {
  for (const bool bold : {false, true}) {
    for (char32_t c = 0x20; c < 0x180; ++c) {
      if (c >= 0x7F && c < 0xA0) continue;
      std::string letter;
      if (c < 0x80) {
        letter = static_cast<char>(c);
      } else {
        letter += static_cast<char>(0xC0 | (c >> 6));
        letter += static_cast<char>(0x80 | (c & 0x3F));
      }
      EXPECT_NEAR(
          measured_text_width_mm(letter, 10.0, bold), text_width_mm(letter, 10.0, bold), 0.005)
          << letter;
    }
    for (const std::string sign : {"–", "—", "‘", "’", "“", "”", "•", "…", "≤", "≥", "−"}) {
      EXPECT_NEAR(measured_text_width_mm(sign, 10.0, bold), text_width_mm(sign, 10.0, bold), 0.005)
          << sign;
    }
    const std::string words = "AVATAR Töpferei, 45.0 mm";  // pairs that kerning would pull together
    EXPECT_NEAR(measured_text_width_mm(words, 3.0, bold), text_width_mm(words, 3.0, bold), 0.01);
  }
}

TEST(WriteDrawing, OtherScriptsAreNeverWiderThanAssumed) {
  for (const std::string text : {"Кувшин с рыбой", "κανάτα", "陶器の壺"}) {
    EXPECT_LE(measured_text_width_mm(text, 3.0, true), text_width_mm(text, 3.0, true)) << text;
  }
}

TEST(WriteDrawing, ThePreviewHasTheAskedSize) {
  const std::string png = png_of_drawing({50.8, 25.4, {}}, 100.0);
  const auto at = [&](std::size_t i) { return static_cast<unsigned char>(png[i]); };
  ASSERT_GT(png.size(), 24U);
  EXPECT_EQ(png.substr(1, 3), "PNG");
  EXPECT_EQ(at(18) * 256 + at(19), 200);  // PNG, IHDR: width then height, big-endian
  EXPECT_EQ(at(22) * 256 + at(23), 100);
  // pHYs, directly behind IHDR: 3937 pixels a metre are 100 dpi.
  EXPECT_EQ(png.substr(37, 4), "pHYs");
  EXPECT_EQ(at(43) * 256 + at(44), 3937);
  EXPECT_EQ(at(47) * 256 + at(48), 3937);
  EXPECT_EQ(at(49), 1);
}

// Repeated marks as form XObjects (ISO 32000-1, 8.10), counted by qpdf.
TEST(WriteDrawing, SharedMarksAreWrittenOnceHoweverOftenTheyAreDrawn) {
  PathMark bow;
  bow.paths = {circle({5, 5}, 4.0)};
  const auto marks = std::make_shared<std::vector<PathMark>>(40, bow);
  std::vector<Drawing> pages(3, page_with_words("often"));
  for (Drawing& page : pages) {
    for (int i = 0; i < 10; ++i) {
      page.marks.emplace_back(SharedMark{
          marks, Affine::translate({50.0 + 10.0 * i, 90.0}) * Affine::turn_deg(31.0 * i)});
    }
  }
  const std::string pdf = pdf_of_drawings(pages);
  QPDF qpdf;
  qpdf.processMemoryFile("test", pdf.data(), pdf.size());
  int forms = 0, groups = 0;
  for (QPDFObjectHandle object : qpdf.getAllObjects()) {
    if (!object.isStream() || !object.getDict().getKey("/Subtype").isNameAndEquals("/Form"))
      continue;
    ++forms;
    groups += object.getDict().hasKey("/Group") ? 1 : 0;
  }
  EXPECT_EQ(forms, 1);
  EXPECT_EQ(groups, 0);  // no transparency: old printers take it apart badly
}

TEST(WriteDrawing, SvgSaysMillimetres) {
  const std::string svg = svg_of_drawing({50.5, 25.25, {}});
  EXPECT_NE(svg.find("width=\"50.5mm\""), std::string::npos) << svg.substr(0, 300);
  EXPECT_NE(svg.find("viewBox=\"0 0 50.5 25.25\""), std::string::npos) << svg.substr(0, 300);
}

TEST(WriteDrawing, AbsurdSizesAreRefused) {
  EXPECT_THROW(pdf_of_drawings({}), OutputError);
  EXPECT_THROW(pdf_of_drawings({Drawing{std::nan(""), 100, {}}}), OptionError);
  EXPECT_THROW(png_of_drawing({2000, 2000, {}}, 600.0), OptionError);
  EXPECT_THROW(png_of_drawing({100, 100, {}}, 1e9), OptionError);
}

}  // namespace
}  // namespace underdraw
