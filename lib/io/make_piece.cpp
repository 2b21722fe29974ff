#include "io/make_piece.h"

#include <algorithm>

#include <fmt/format.h>

#include "core/error.h"
#include "io/naming_file.h"
#include "io/overview_page.h"
#include "io/placements_file.h"
#include "io/printer_file.h"
#include "io/prove_pages.h"
#include "io/sheets_file.h"
#include "io/svg.h"
#include "io/svg_drawing.h"
#include "io/write_drawing.h"
#include "sheet/draw_map.h"
#include "sheet/draw_template.h"
#include "sheet/draw_views.h"
#include "sheet/lay_out_sheets.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr double kRowGapMm = 10.0;
constexpr double kLongestRowMm = 2000.0;

// About how the time divides; only the bar depends on it.
constexpr double kTraced = 0.60;
constexpr double kLaidOut = 0.70;
constexpr double kWritten = 0.75;
constexpr double kProved = 0.9;

// A step needs what the piece file has not said.
[[noreturn]] void refuse_incomplete(const fs::path& piece_file, const std::string& table) {
  throw InputError({.file = piece_file.string(),
                    .line = {},
                    .found = "has no [[" + table + "]]",
                    .expected = {},
                    .remedy = "add one; `underdraw new` shows how"});
}

std::vector<PageRequest> requests_of(const fs::path& folder, const PieceFile& piece) {
  std::vector<PageRequest> requests;
  for (const PageEntry& entry : piece.pages) {
    requests.push_back({.file = (folder / entry.file).lexically_normal().string(),
                        .page = entry.page,
                        .dpi = entry.dpi,
                        .captions = entry.captions});
  }
  return requests;
}

std::vector<Motif> named_motifs(const fs::path& folder, const PieceResult& made) {
  std::vector<Motif> all;
  for (std::size_t i = 0; i < made.pages.size(); ++i) {
    const TracedFilePage& page = made.pages[i];
    const std::vector<std::string>& stated = made.piece.pages[i].names;
    const std::vector<std::string> names = stated.empty() ? names_by_position(page) : stated;
    for (Motif& motif :
         motifs_of_page(page,
                        names,
                        "correct the page's names in piece.toml, or leave more white space "
                        "between the sketches and none inside them")) {
      require_file_name(motif.name);
      const auto same = [&](const Motif& other) { return other.name == motif.name; };
      if (std::any_of(all.begin(), all.end(), same)) {
        throw InputError({.file = page.file,
                          .line = {},
                          .found = "a second motif is named " + motif.name,
                          .expected = {},
                          .remedy = "give each motif a name of its own in piece.toml"});
      }
      all.push_back(std::move(motif));
    }
  }
  // The piece file has seen to it that these names are new.
  for (const MotifEntry& entry : made.piece.motif_files) {
    all.push_back(read_motif_svg((folder / entry.file).lexically_normal()));
    all.back().name = entry.name;
  }
  return all;
}

// The piece file names a printer; what it makes of a millimetre is kept on this machine.
void find_printer(PieceFile& piece, const fs::path& piece_file) {
  if (piece.printer.empty()) return;
  try {
    piece.sheets.printer = printer_named(printers_file(), piece.printer);
  } catch (const InputError& error) {
    Complaint complaint = error.complaint();
    complaint.file = piece_file.string();
    complaint.line = piece.printer_line;
    complaint.remedy += ", or take the line out to print without a correction";
    throw InputError(complaint);
  }
}

// "map", "map-2"…
std::string numbered(const std::string& stem, std::size_t i) {
  return i == 0 ? stem : fmt::format("{}-{}", stem, i + 1);
}

// Pages as PNG files.
void write_pictures(const std::string& stem,
                    const std::vector<Drawing>& pages,
                    double dpi,
                    const WriteFile& write) {
  for (std::size_t i = 0; i < pages.size(); ++i) {
    write(numbered(stem, i) + ".png", png_of_drawing(pages[i], dpi));
  }
}

// "sheets/sheet-01.svg", "sheets/sheet-02.svg"…
void write_page_files(const std::string& stem,
                      const std::vector<Drawing>& pages,
                      const PageFiles& also,
                      const WriteFile& write) {
  const auto each = [&](const char* ending, const auto& made) {
    for (std::size_t i = 0; i < pages.size(); ++i) {
      write(fmt::format("{}-{:02}.{}", stem, i + 1, ending), made(pages[i]));
    }
  };
  if (also.svg) each("svg", svg_of_drawing);
  if (also.png)
    each("png", [&](const Drawing& page) { return png_of_drawing(page, also.png_dpi); });
}

// A PDF and what it should show.
struct DrawnFile {
  std::string name;  // "map.pdf"
  std::string pdf;
  std::vector<Drawing> pages;
  std::optional<PrinterCorrection> printer;
};

// Drawings that are not to scale for cutting are proved too: whoever marks a piece by a map needs
// its numbers where they belong.
void prove_drawn(const DrawnFile& file, ProofReport& report) {
  ProvePagesOptions options;
  options.printer = file.printer;
  const PagesProof proof = prove_pages(file.pdf, file.name, file.pages, options);
  report.drawn.push_back({file.name, file.pages.size(), proof.largest_mm});
  report.reasons.insert(report.reasons.end(), proof.reasons.begin(), proof.reasons.end());
  report.ok = report.ok && proof.ok;
}

// The maps, and behind them the piece from all sides.
DrawnFile write_maps(const PieceResult& made, double dpi, const WriteFile& write) {
  const MapOptions options{.paper = made.piece.sheets.paper,
                           .margin_mm = made.piece.sheets.margin_mm};
  std::vector<Drawing> pages = draw_maps(made.piece.name, made.faces, made.placed_motifs, options);
  const std::vector<Drawing> views =
      draw_views(made.piece.name, made.faces, made.placed_motifs, options);
  write_pictures("map", pages, dpi, write);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    write(numbered("map", i) + ".svg", svg_of_drawing(pages[i]));
  }
  write_pictures("views", views, dpi, write);
  pages.insert(pages.end(), views.begin(), views.end());
  DrawnFile file{"map.pdf", {}, std::move(pages), {}};
  file.pdf = pdf_of_drawings(file.pages, {.title = made.piece.name + " – placement map"});
  write(file.name, file.pdf);
  return file;
}

// The flat shape of every face at true size.
DrawnFile write_templates(const PieceResult& made, const PageFiles& also, const WriteFile& write) {
  std::vector<Drawing> pages;
  for (const PlacedFace& face : made.faces) {
    const FaceTemplate shape = face_template(face.face, face.transfer_from_measured);
    for (Drawing& page : draw_template(made.piece.name,
                                       face,
                                       shape,
                                       {.paper = made.piece.sheets.paper,
                                       .margin_mm = made.piece.sheets.margin_mm,
                                       .printer = made.piece.sheets.printer})) {
      pages.push_back(std::move(page));
    }
  }
  write_page_files("templates/page", pages, also, write);
  DrawnFile file{"template.pdf", {}, std::move(pages), made.piece.sheets.printer};
  file.pdf = pdf_of_drawings(file.pages,
                             {.title = made.piece.name + " – template", .printer = file.printer});
  write(file.name, file.pdf);
  return file;
}

}  // namespace

PieceFile read_piece_folder(const fs::path& folder) {
  if (!fs::exists(folder)) {
    throw InputError({.file = folder.string(),
                      .line = {},
                      .found = "no such folder",
                      .expected = "a piece folder",
                      .remedy = "check the name; `underdraw new` makes one"});
  }
  return read_piece_file(folder / "piece.toml");
}

PieceResult place_piece(PieceFile piece,
                        const fs::path& piece_file,
                        const MakeOptions& options,
                        const Progress& progress) {
  const fs::path folder = piece_file.parent_path();
  PieceResult made;
  made.piece = std::move(piece);
  if (made.piece.pages.empty() && made.piece.motif_files.empty()) {
    refuse_incomplete(piece_file, "page");
  }
  if (options.until >= MakeStep::place) {
    if (made.piece.faces.empty()) refuse_incomplete(piece_file, "face");
    if (made.piece.arrangements.empty()) refuse_incomplete(piece_file, "arrange");
    find_printer(made.piece, piece_file);
  }

  made.pages =
      trace_files(requests_of(folder, made.piece), options.trace, part_of(progress, 0.0, kTraced));
  for (const TracedFilePage& page : made.pages) {
    made.warnings.insert(
        made.warnings.end(), page.traced.warnings.begin(), page.traced.warnings.end());
  }
  made.motifs = named_motifs(folder, made);
  if (options.until == MakeStep::trace) return made;

  report(progress, "varying", kTraced);
  made.variants = vary(made.motifs);
  if (options.until == MakeStep::vary) return made;

  report(progress, "placing", kTraced);
  Arranged arranged = naming_file(piece_file, [&] {
    return arrange(made.piece.faces,
                   made.piece.arrangements,
                   made.motifs,
                   made.piece.clay,
                   {.least_gap_mm = made.piece.least_gap_mm, .tool = made.piece.tool});
  });
  made.faces = std::move(arranged.faces);
  made.placed_motifs = std::move(arranged.motifs);
  for (const PlacedFace& face : made.faces) {
    for (const FitReport& fit : face.reports) {
      for (const std::string& warning : fit.warnings) {
        made.warnings.push_back(face.face.name + ": " + warning);
      }
    }
  }
  return made;
}

PieceResult make_piece_files(PieceFile piece,
                             const fs::path& piece_file,
                             const MakeOptions& options,
                             const WriteFile& write,
                             const Progress& progress) {
  PieceResult made = place_piece(std::move(piece), piece_file, options, progress);
  // Copies that were cut are motifs too.
  const bool placed = options.until >= MakeStep::place;
  for (const Motif& motif : placed ? made.placed_motifs : made.motifs) {
    write("motifs/" + motif.name + ".svg", svg_of_motif(motif));
  }
  for (const Variant& variant : made.variants.variants) {
    write("variants/" + variant.motif.name + ".svg", svg_of_motif(variant.motif));
  }
  if (!placed) return made;

  write("placements.json", placements_text(made.faces));
  const DrawnFile maps = write_maps(made, options.also.png_dpi, write);
  const DrawnFile templates =
      naming_file(piece_file, [&] { return write_templates(made, options.also, write); });
  if (options.until == MakeStep::place) return made;

  report(progress, "laying out sheets", kLaidOut);
  made.sheets = naming_file(piece_file, [&] {
    return lay_out_sheets(made.piece.name, made.faces, made.placed_motifs, made.piece.sheets);
  });
  made.warnings.insert(
      made.warnings.end(), made.sheets.warnings.begin(), made.sheets.warnings.end());
  const std::string pdf = sheets_pdf(made.sheets);
  write("sheets.pdf", pdf);
  write("sheets.json", sheets_text(made.sheets));
  write_sheet_files(made.sheets, "sheets/sheet", options.also, write);
  if (options.until == MakeStep::sheet) return made;

  made.proof = prove_pdf_bytes(
      pdf, options.sheets_name, made.sheets, options.prove, part_of(progress, kWritten, kProved));
  for (const DrawnFile* file : {&maps, &templates}) prove_drawn(*file, made.proof);
  if (made.proof.ok) write("proof.json", proof_text(made.proof));
  return made;
}

void write_sheet_files(const SheetPlan& plan,
                       const std::string& stem,
                       const PageFiles& also,
                       const WriteFile& write) {
  if (!also.svg && !also.png) return;
  std::vector<Drawing> pages;
  LookOfMotifs looks;
  for (std::size_t i = 0; i < plan.sheets.size(); ++i) pages.push_back(draw_sheet(plan, i, looks));
  write_page_files(stem, pages, also, write);
}

PieceResult make_piece(const fs::path& folder,
                       const MakeOptions& options,
                       const Progress& progress,
                       const Notice& notice) {
  PieceFile piece = read_piece_folder(folder);
  MakeOptions named = options;
  named.sheets_name = (folder / "out" / "sheets.pdf").string();
  OutFolder out(folder, notice);
  std::vector<std::string> names;
  const auto write = [&](const std::string& name, const std::string& content) {
    out.write(name, content);
    names.push_back(name);
  };
  PieceResult made =
      make_piece_files(std::move(piece), folder / "piece.toml", named, write, progress);
  if (options.until == MakeStep::proof && !made.proof.ok) return made;
  if (options.until == MakeStep::proof) write("index.html", overview_page(made, names));
  out.publish();
  for (const std::string& name : names) made.files.push_back((folder / "out" / name).string());
  made.published = true;
  report(progress, "done", 1.0);
  return made;
}

std::vector<PlacedFace> motifs_in_rows(const std::vector<Motif>& motifs) {
  FlatFace sheet;
  double tallest = 0.0;
  for (const Motif& motif : motifs) tallest = std::max(tallest, motif.height_mm);
  std::vector<Placement> placements;
  double left = kRowGapMm;
  double top = kRowGapMm;
  for (const Motif& motif : motifs) {
    if (left > kRowGapMm && left + motif.width_mm > kLongestRowMm) {
      left = kRowGapMm;
      top += tallest + kRowGapMm;
    }
    Placement placement;
    placement.id = static_cast<int>(placements.size()) + 1;
    placement.motif = motif.name;
    placement.variant = motif.name;
    placement.at = {left + motif.width_mm / 2.0, top + tallest / 2.0};
    placements.push_back(placement);
    left += motif.width_mm + kRowGapMm;
    sheet.width_mm = std::max(sheet.width_mm, left);
    sheet.height_mm = top + tallest + kRowGapMm;
  }
  PlacedFace face;
  face.face = {"motifs", sheet, {}};
  face.surface = surface_of(face.face);
  face.placements = std::move(placements);
  return {face};
}

}  // namespace underdraw
