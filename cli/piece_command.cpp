#include "piece_command.h"

#include <filesystem>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/listed.h"
#include "piece_object.h"
#include "sheet/lay_out_sheets.h"

namespace fs = std::filesystem;

namespace underdraw::cli {
namespace {

std::vector<std::string> names_of(const std::vector<Motif>& motifs) {
  std::vector<std::string> names;
  for (const Motif& motif : motifs) names.push_back(motif.name);
  return names;
}

std::string fit_text(const FitReport& fit) {
  std::string text = fmt::format("{}: {} of {}",
                                 fit.style,
                                 count_text(static_cast<std::size_t>(fit.copies), "copy"),
                                 listed(fit.motifs));
  if (fit.rows > 1) text += fmt::format(", {} rows", fit.rows);
  if (fit.copies > 1) {
    text +=
        fmt::format(", true gap {:.2f} mm, seam error {:.3f} mm", fit.gap_mm, fit.seam_error_mm);
  }
  if (fit.left_out > 0) text += fmt::format(", {} left out for keep-out zones", fit.left_out);
  return text;
}

// With `notes`, how each size came about as well.
void add_faces(const std::vector<PlacedFace>& faces, bool notes, std::vector<Fact>& facts) {
  for (const PlacedFace& face : faces) {
    facts.push_back({face.face.name,
                     fmt::format("{} {:.1f} x {:.1f} mm, {}, coverage {:.0f} %",
                                 name_of(face.face.form),
                                 face.surface.widest_mm(),
                                 face.surface.along_mm(),
                                 count_text(face.placements.size(), "placement"),
                                 100.0 * face.coverage)});
    for (const FitReport& fit : face.reports) {
      facts.push_back({"", fit_text(fit)});
      if (!notes) continue;
      for (const std::string& note : fit.notes) facts.push_back({"", note});
    }
  }
}

// Pictures in folders are counted by their kind, all else is named.
void add_files(const std::vector<std::string>& files, std::vector<Fact>& facts) {
  std::string label = "made";
  for (std::size_t i = 0; i < files.size();) {
    const fs::path path(files[i]);
    std::size_t end = i + 1;
    const bool picture = path.extension() == ".svg" || path.extension() == ".png";
    while (end < files.size() && picture && fs::path(files[end]).extension() == path.extension() &&
           fs::path(files[end]).parent_path() == path.parent_path()) {
      ++end;
    }
    facts.push_back(
        {label,
         end - i > 1
             ? fmt::format(
                   "{}/*{}  ({})", path.parent_path().string(), path.extension().string(), end - i)
             : files[i]});
    label.clear();
    i = end;
  }
}

std::vector<Fact> facts_of(const PieceResult& made, MakeStep until) {
  std::vector<Fact> facts;
  for (const TracedFilePage& page : made.pages) {
    facts.push_back({"page",
                     fmt::format("{}, {:.1f} x {:.1f} mm at {:.0f} dpi",
                                 page.file,
                                 page.traced.width_mm,
                                 page.traced.height_mm,
                                 page.dpi)});
  }
  facts.push_back(
      {"sketches", fmt::format("{}: {}", made.motifs.size(), listed(names_of(made.motifs)))});
  if (until == MakeStep::trace) {
    for (const Motif& motif : made.motifs) facts.push_back({"  " + motif.name, motif_text(motif)});
  } else {
    const std::vector<std::string>& own = made.variants.own_mirrors;
    std::string text = fmt::format("{}, as drawn and mirrored", made.variants.variants.size());
    if (!own.empty()) {
      text +=
          fmt::format("; {} {}",
                      listed(own),
                      own.size() == 1 ? "is its own mirror image" : "are their own mirror images");
    }
    facts.push_back({"variants", text});
  }
  add_faces(made.faces, until == MakeStep::place, facts);
  if (until >= MakeStep::sheet) {
    facts.push_back({"sheets", sheets_line(made.sheets)});
  }
  if (until >= MakeStep::proof) {
    facts.push_back({"proof", proof_line(made.proof)});
  }
  add_files(made.files, facts);
  return facts;
}

}  // namespace

std::string count_text(std::size_t count, const std::string& thing) {
  if (count == 1) return "1 " + thing;
  if (thing.ends_with("y"))
    return fmt::format("{} {}ies", count, thing.substr(0, thing.size() - 1));
  return fmt::format("{} {}{}", count, thing, thing.ends_with("ch") ? "es" : "s");
}

std::string motif_text(const Motif& motif) {
  std::string text = fmt::format("{:5.1f} x {:5.1f} mm, {}",
                                 motif.width_mm,
                                 motif.height_mm,
                                 count_text(motif.lines.strokes.size(), "line"));
  if (!motif.lines.areas.empty()) text += ", " + count_text(motif.lines.areas.size(), "area");
  return text;
}

std::string sheets_line(const SheetPlan& plan) {
  const std::string fewer = plan.least_sheets < plan.sheets.size()
                                ? fmt::format("fewer than {} are impossible", plan.least_sheets)
                                : "fewer are impossible";
  return fmt::format("{} of {} ({}; {:.0f} % of the paper used), {}, {}{}",
                     count_text(plan.sheets.size(), "sheet"),
                     plan.options.paper.name,
                     fewer,
                     100.0 * plan.share_used,
                     method_words(plan.options.method),
                     flip_words(plan.options.method),
                     plan.options.printer ? ", " + printer_words(*plan.options.printer) : "");
}

std::string proof_line(const ProofReport& report) {
  return fmt::format("{}{}: largest deviation {:.3f} mm over {}, allowed {} mm",
                     report.ok ? "true" : "not true",
                     report.printer.empty() ? "" : " as printed by " + report.printer,
                     report.largest_mm,
                     count_text(report.placements, "placement"),
                     report.limit_mm);
}

Outcome run_piece_command(const std::string& folder, const MakeOptions& options, Console& console) {
  const PieceResult made = make_piece(folder, options, console.progress(), console.notice());
  console.warnings(made.warnings);
  console.object(piece_object(made, options.until));
  if (!made.published) {
    const std::string pdf = (fs::path(folder) / "out").string();
    for (const std::string& reason : made.proof.reasons) console.message(reason);
    console.message(pdf + ": left as it was, because the new sheets are not true");
    return Outcome::refused;
  }
  console.facts(facts_of(made, options.until));
  return Outcome::done;
}

}  // namespace underdraw::cli
