// How densely pack_strip packs the instances named on the command line, beside published densities.
//
//   pack_densities [--seconds 10,60] [--seed 1] [--motifs] INSTANCE.json…
//
// Every result is checked by intersecting the outlines as whole numbers (polyclipping), which
// neither the search nor pack_check does. Exit 1 when one overlaps or leaves its strip.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <polyclipping/clipper.hpp>

#include "geometry/path.h"
#include "sheet/pack_outlines.h"
#include "support/lobed_outlines.h"

namespace {

using namespace underdraw;
using nlohmann::json;

struct Instance {
  std::string name;
  double height = 0.0;
  double clearance = 0.0;
  std::vector<OutlineToPack> outlines;
  json published;
};

Instance read_instance(const std::filesystem::path& file) {
  std::ifstream in(file);
  if (!in) throw std::runtime_error(file.string() + ": cannot be opened");
  const json content = json::parse(in);
  Instance out;
  out.name = content.at("name");
  out.height = content.at("fixed_side");
  for (const json& item : content.at("items")) {
    OutlineToPack outline;
    for (const json& p : item.at("polygon")) outline.ring.push_back({p.at(0), p.at(1)});
    const json& turns = item.at("rotations_deg");
    outline.turns =
        turns.is_string() ? Turns::any() : Turns{false, turns.get<std::vector<double>>()};
    for (int i = item.value("quantity", 1); i > 0; --i) out.outlines.push_back(outline);
  }
  std::ifstream list(file.parent_path() / "published.json");
  if (list) out.published = json::parse(list).value(out.name, json());
  return out;
}

// Forty motifs' outlines, a new set for every seed.
Instance motifs(unsigned seed) {
  Instance out;
  out.name = "motifs";
  out.height = 190.0;
  out.clearance = 3.0;
  for (const auto& ring : test::lobed_outlines(seed, 40)) {
    out.outlines.push_back({ring, Turns::any()});
  }
  return out;
}

constexpr double kUnits = 1e7;  // a length unit, for whole numbers

ClipperLib::Path whole_numbers(const OutlineToPack& outline, const PackedPlace& place) {
  ClipperLib::Path path;
  for (const Vec2 p : outline.ring) {
    const Vec2 q = place.room_from_outline() * p * kUnits;
    path.push_back({std::llround(q.x), std::llround(q.y)});
  }
  if (!ClipperLib::Orientation(path)) ClipperLib::ReversePath(path);
  return path;
}

// With a clearance, outlines are grown by half of it, but for a thousandth, before they are
// intersected.
std::string fault(const Instance& instance, const StripPacking& packing) {
  ClipperLib::Paths lying;
  for (std::size_t i = 0; i < packing.places.size(); ++i) {
    lying.push_back(whole_numbers(instance.outlines[i], packing.places[i]));
    for (const auto& p : lying.back()) {
      if (static_cast<double>(p.X) < -1.0 || static_cast<double>(p.Y) < -1.0 ||
          static_cast<double>(p.X) > packing.length_mm * kUnits + 1.0 ||
          static_cast<double>(p.Y) > instance.height * kUnits + 1.0) {
        return fmt::format("{} leaves the strip", i);
      }
    }
    if (instance.clearance <= 0.0) continue;
    ClipperLib::ClipperOffset offset(2.0, 1e-4 * kUnits);
    offset.AddPath(lying.back(), ClipperLib::jtRound, ClipperLib::etClosedPolygon);
    ClipperLib::Paths grown;
    offset.Execute(grown, (instance.clearance / 2.0 - 1e-3) * kUnits);
    lying.back() = grown.at(0);
  }
  for (std::size_t i = 0; i < lying.size(); ++i) {
    for (std::size_t k = i + 1; k < lying.size(); ++k) {
      ClipperLib::Clipper clipper;
      clipper.AddPath(lying[i], ClipperLib::ptSubject, true);
      clipper.AddPath(lying[k], ClipperLib::ptClip, true);
      ClipperLib::Paths common;
      clipper.Execute(ClipperLib::ctIntersection, common);
      double area = 0.0, round = 0.0;
      for (const auto& path : common) {
        area += std::abs(ClipperLib::Area(path));
        for (std::size_t c = 0; c < path.size(); ++c) {
          const auto& p = path[c];
          const auto& q = path[(c + 1) % path.size()];
          round += std::hypot(static_cast<double>(p.X - q.X), static_cast<double>(p.Y - q.Y));
        }
      }
      // Slivers two whole numbers wide come from rounding.
      if (area > 2.0 * round) {
        return fmt::format("{} and {} overlap by {:.3g}", i, k, area / (kUnits * kUnits));
      }
    }
  }
  return {};
}

std::string beside(const json& published, const char* key, double density) {
  if (!published.contains(key)) return "              -";
  const double other = published.at(key);
  return fmt::format("  {:5.2f} ({:+5.2f})", other, density - other);
}

bool pack_one(const Instance& instance, double seconds, std::uint64_t effort, std::uint64_t seed) {
  double area = 0.0;
  for (const auto& outline : instance.outlines) area += std::abs(signed_area(outline.ring));
  StripOptions options;
  options.height_mm = instance.height;
  options.clearance_mm = instance.clearance;
  options.most_seconds = seconds;
  if (effort > 0) {
    options.effort = effort;
    options.most_seconds = 0.0;
  }
  const std::clock_t start = std::clock();
  options.seed = seed;
  const StripPacking packing = pack_strip(instance.outlines, options);
  const double density = instance.clearance > 0.0
                             ? 100.0 * packing.density
                             : 100.0 * area / (packing.length_mm * instance.height);
  const std::string wrong = fault(instance, packing);
  const double busy = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
  double load[1] = {0.0};
  if (getloadavg(load, 1) != 1) load[0] = -1.0;
  fmt::print(
      "{:12} {:4.0f} s  seed {:<3} {:6.2f} %  length {:9.4f}{}{}{}  processor {:5.1f} s, load "
      "{:4.1f}  {}\n",
      instance.name,
      seconds,
      seed,
      density,
      packing.length_mm,
      beside(instance.published, "mean_2013", density),
      beside(instance.published, "mean_2025", density),
      beside(instance.published, "best_2025", density),
      busy,
      load[0],
      wrong.empty() ? "exact: apart" : "FAULT: " + wrong);
  std::fflush(stdout);
  return wrong.empty();
}

// Motifs on A4 with margins of 14 mm and room for a head line.
void sheets_of_motifs(int count, std::uint64_t effort, std::uint64_t seed) {
  SheetsOptions options{.room = {{14, 22}, {196, 275}}, .seed = seed};
  if (effort > 0) options.effort = effort;
  std::vector<OutlineToPack> outlines;
  for (const auto& ring : test::lobed_outlines(static_cast<unsigned>(seed), count)) {
    outlines.push_back({ring, Turns::any()});
  }
  const auto start = std::chrono::steady_clock::now();
  const SheetsPacking packing = pack_on_sheets(outlines, options);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  const double area = packing.share_used * static_cast<double>(packing.sheets) *
                      (options.room.width() + 3.0) * (options.room.height() + 3.0);
  fmt::print("{} motifs: {} sheets, {:.2f} of them used; least by area {}, goal {:.0f}; {:.1f} s\n",
             count,
             packing.sheets,
             packing.share_used,
             packing.least_sheets,
             std::ceil(area / (0.8 * options.room.width() * options.room.height())),
             took.count());
}

int run(const std::vector<std::string>& words) {
  std::vector<double> seconds = {10.0, 60.0};
  std::uint64_t seed = 1, effort = 0;
  std::vector<Instance> instances;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (words[i] == "--seconds" && i + 1 < words.size()) {
      seconds.clear();
      std::string list = words[++i] + ",";
      for (std::size_t at = 0; (at = list.find(',')) != std::string::npos; list.erase(0, at + 1)) {
        seconds.push_back(std::stod(list.substr(0, at)));
      }
    } else if (words[i] == "--seed" && i + 1 < words.size()) {
      seed = std::stoull(words[++i]);
    } else if (words[i] == "--effort" && i + 1 < words.size()) {
      effort = std::stoull(words[++i]);
      seconds = {0.0};
    } else if (words[i] == "--sheets" && i + 1 < words.size()) {
      sheets_of_motifs(std::stoi(words[++i]), effort, seed);
      return 0;
    } else if (words[i] == "--motifs") {
      instances.push_back(motifs(static_cast<unsigned>(seed)));
    } else {
      instances.push_back(read_instance(words[i]));
    }
  }
  if (instances.empty()) {
    fmt::print(stderr, "pack_densities [--seconds 10,60] [--seed 1] [--motifs] INSTANCE.json...\n");
    return 2;
  }
  fmt::print("{:12} {:6}  {:8} {:>8}  {:16}  mean of 2013    mean of 2025    best of 2025\n",
             "instance",
             "time",
             "seed",
             "density",
             "length");
  bool all_apart = true;
  for (const Instance& instance : instances) {
    for (const double s : seconds) all_apart = pack_one(instance, s, effort, seed) && all_apart;
  }
  return all_apart ? 0 : 1;
}

}  // namespace

int main(int count, char** words) {
  try {
    return run({words + 1, words + count});
  } catch (const std::exception& problem) {
    fmt::print(stderr, "{}\n", problem.what());
    return 1;
  }
}
