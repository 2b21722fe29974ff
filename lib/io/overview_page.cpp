#include "io/overview_page.h"

#include <algorithm>

#include <fmt/format.h>

#include "io/html_text.h"
#include "io/page_text.h"
#include "sheet/cautions.h"

namespace underdraw {
namespace {

// A file's name as a relative link: what a URL keeps for itself is written in hexadecimal.
std::string link_to(const std::string& file) {
  std::string out;
  for (const char c : file) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '_' || c == '.' || c == '/';
    out += plain ? std::string(1, c) : fmt::format("%{:02X}", byte);
  }
  return out;
}

bool has(const std::vector<std::string>& files, const std::string& name) {
  return std::find(files.begin(), files.end(), name) != files.end();
}

std::string drawing(const std::string& file, const std::string& name, const std::string& below) {
  return fmt::format(
      "      <figure><img src=\"{}\" alt=\"{}\"><figcaption>{}</figcaption></figure>\n",
      link_to(file),
      html_escaped(name),
      html_escaped(below));
}

std::string motifs(const PieceResult& made) {
  std::string out;
  for (const Motif& motif : made.motifs) {
    out +=
        drawing("motifs/" + motif.name + ".svg",
                motif.name,
                fmt::format("{}, {:.0f} x {:.0f} mm", motif.name, motif.width_mm, motif.height_mm));
  }
  return out;
}

std::string variants(const PieceResult& made) {
  std::string out;
  for (const Variant& variant : made.variants.variants) {
    out +=
        drawing("variants/" + variant.motif.name + ".svg", variant.motif.name, variant.motif.name);
  }
  return out;
}

// Every picture page of this stem: "map.png", "map-2.png"….
std::string pictures(const std::vector<std::string>& files,
                     const std::string& stem,
                     const std::string& words) {
  std::string out;
  for (const std::string& file : files) {
    if (!file.starts_with(stem) || !file.ends_with(".png")) continue;
    out += fmt::format(
        "    <figure class=\"picture\"><a href=\"{0}\"><img src=\"{0}\" alt=\"{1}\"></a>"
        "<figcaption>{1}</figcaption></figure>\n",
        link_to(file),
        html_escaped(words));
  }
  return out;
}

std::string papers(const PieceResult& made, const std::vector<std::string>& files) {
  std::string out;
  const auto add = [&](const std::string& file, const std::string& what) {
    if (!has(files, file)) return;
    out += fmt::format(
        "      <li><a href=\"{}\">{}</a>: {}</li>\n", link_to(file), file, html_escaped(what));
  };
  add("sheets.pdf",
      fmt::format("cover and {} transfer sheet{}, to be printed at 100 %",
                  made.sheets.sheets.size(),
                  made.sheets.sheets.size() == 1 ? "" : "s"));
  add("map.pdf", "where each number goes, and the piece from all sides");
  add("template.pdf", "each face as flat paper at true size");
  return out;
}

std::string report(const PieceResult& made) {
  std::string out;
  for (const PlacedFace& face : made.faces) {
    if (face.reports.empty()) continue;
    out += fmt::format("    <h3>{}</h3>\n    <ul class=\"fits\">\n", html_escaped(face.face.name));
    for (const FitReport& fit : face.reports) {
      out += fmt::format("      <li>{}: {} cop{}, {:.1f} mm apart</li>\n",
                         html_escaped(fit.style),
                         fit.copies,
                         fit.copies == 1 ? "y" : "ies",
                         fit.gap_mm);
    }
    out += "    </ul>\n";
  }
  return out;
}

std::string warnings(const PieceResult& made) {
  if (made.warnings.empty()) return "";
  std::string out =
      "  <section class=\"card warn\" aria-labelledby=\"warn-head\">\n"
      "    <h2 id=\"warn-head\">Before you print</h2>\n    <ul>\n";
  for (const std::string& line : made.warnings) {
    out += "      <li>" + html_escaped(line) + "</li>\n";
  }
  return out + "    </ul>\n  </section>\n";
}

std::string cautions() {
  std::string out;
  for (const Caution& caution : all_cautions()) {
    out += fmt::format(
        "      <dt>{}</dt><dd>{}</dd>\n", html_escaped(caution.head), html_escaped(caution.text));
  }
  return out;
}

std::string lead(const PieceResult& made) {
  std::size_t placements = 0;
  for (const PlacedFace& face : made.faces) placements += face.placements.size();
  return fmt::format(
      "{} sketches, {} variants, {} placements. The sheets were read back and measured: the "
      "largest "
      "deviation of a line is {:.2f} mm.",
      made.motifs.size(),
      made.variants.variants.size(),
      placements,
      made.proof.largest_mm);
}

}  // namespace

std::string overview_page(const PieceResult& made, const std::vector<std::string>& files) {
  return filled_page(overview_page_text::kHtml,
                     {{"piece", html_escaped(made.piece.name)},
                      {"css", std::string(overview_page_text::kCss)},
                      {"lead", html_escaped(lead(made))},
                      {"warnings", warnings(made)},
                      {"papers", papers(made, files)},
                      {"motifs", motifs(made)},
                      {"variants", variants(made)},
                      {"pictures",
                       pictures(files, "views", "the piece from all sides") +
                           pictures(files, "map", "unrolled, every placement numbered")},
                      {"report", report(made)},
                      {"cautions", cautions()}});
}

}  // namespace underdraw
