#include "io/photo_store.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "core/error.h"
#include "io/open_photo_store.h"
#include "io/record_text.h"
#include "io/text_file.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

constexpr std::uintmax_t kMostBytes = 200'000'000;
constexpr std::size_t kLongestStage = 32;

// A photo that was found to be one, with the row that it would get.
struct Candidate {
  std::string file;
  PhotoRow row;
};

void require_size(const std::string& file) {
  std::error_code ignored;
  const std::uintmax_t size = fs::file_size(file, ignored);
  if (ignored || size <= kMostBytes) return;  // what has no size is refused by its kind
  throw InputError({.file = file,
                    .line = {},
                    .found = fmt::format("is {:.0f} MB", static_cast<double>(size) / 1e6),
                    .expected = fmt::format("{} MB at most", kMostBytes / 1'000'000),
                    .remedy = "keep the photo as the camera made it"});
}

Candidate candidate(const std::string& file, const KeepOptions& options) {
  require_size(file);
  Candidate made{.file = file, .row = {}};
  PhotoRow& row = made.row;
  row.facts = read_photo_facts(file);
  const FileSum sum = sum_of_file(file);
  row.checksum = sum.checksum;
  row.bytes = sum.bytes;
  row.original_name = utf8_of_name(fs::path(file).filename().string());
  row.stage = options.stage;
  row.face = options.face;
  row.note = options.note;
  row.added_at = now_in_utc();
  return made;
}

// Hidden copies that are removed unless the record has promised them.
class Copies {
 public:
  explicit Copies(const PhotoFolder& folder) : folder_(folder) {}
  ~Copies() {
    for (const std::string& name : names_) folder_.remove_copy(name);
  }
  Copies(const Copies&) = delete;
  Copies& operator=(const Copies&) = delete;

  std::string add(const Candidate& photo) {
    names_.push_back(
        folder_.copy_in(photo.file, {.checksum = photo.row.checksum, .bytes = photo.row.bytes}));
    return names_.back();
  }
  void promised() { names_.clear(); }

 private:
  const PhotoFolder& folder_;
  std::vector<std::string> names_;
};

// One command's work on the open store, step by step.
class KeepRun {
 public:
  KeepRun(const OpenPhotoStore& store, const KeepOptions& options)
      : store_(store), options_(options) {}

  KeepReport run(const std::vector<Candidate>& candidates, const Progress& progress) {
    pass(KeepPoint::opened);
    Copies copies(store_.folder());
    for (std::size_t i = 0; i < candidates.size(); ++i) {
      report(progress, "keeping", static_cast<double>(i) / static_cast<double>(candidates.size()));
      report_.photos.push_back(planned(candidates[i], copies));
    }
    store_.folder().flush();
    pass(KeepPoint::copied);
    promise();
    copies.promised();
    pass(KeepPoint::promised);
    for (const KeptPhoto& photo : report_.photos) {
      if (is_copied(photo)) store_.put_in_place(photo.row);
    }
    store_.folder().flush();
    pass(KeepPoint::placed);
    record_kept();
    pass(KeepPoint::recorded);
    for (KeptPhoto& photo : report_.photos) {
      photo.row = *store_.record().photo_of_checksum(photo.row.checksum);
      warn_of_difference(photo);
    }
    return std::move(report_);
  }

 private:
  void pass(KeepPoint point) const {
    if (options_.passing) options_.passing(point);
  }

  static bool is_copied(const KeptPhoto& photo) {
    return photo.how == Keeping::kept || photo.how == Keeping::returned;
  }

  // What is to be done with it; copied if need be.
  KeptPhoto planned(const Candidate& photo, Copies& copies) {
    KeptPhoto plan{.row = photo.row, .how = Keeping::already, .given = photo.file};
    if (!seen_.emplace(photo.row.checksum, photo.file).second) return plan;
    const std::optional<PhotoRow> known = store_.record().photo_of_checksum(photo.row.checksum);
    if (known) plan.row = *known;
    if (known && store_.folder().holds(known->name, known->checksum)) return plan;

    if (lies_in_store(photo.file)) {
      flush_to_disk(photo.file, photo.file);
      plan.how = Keeping::taken_in;
      plan.row.name = fs::path(photo.file).filename().string();
      plan.row.state = PhotoState::kept;
      plan.row.copy_name.clear();
    } else {
      plan.how = known ? Keeping::returned : Keeping::kept;
      plan.row.state = known ? PhotoState::returning : PhotoState::promised;
      plan.row.copy_name = copies.add(photo);
      // A changed file under its name stays where it is.
      if (!known || store_.folder().has(known->name)) plan.row.name = store_.free_name(plan.row);
    }
    return plan;
  }

  bool lies_in_store(const std::string& file) const {
    const fs::path path(file);
    const fs::path parent = path.has_parent_path() ? path.parent_path() : fs::path(".");
    std::error_code ignored;
    const std::string name = path.filename().string();
    return fs::equivalent(parent, store_.folder().path(), ignored) && !name.starts_with('.') &&
           !first_bad_utf8(name) && fs::is_regular_file(fs::symlink_status(path, ignored)) &&
           !store_.record().has_photo_name(name);
  }

  void promise() {
    Transaction transaction(store_.record().database());
    for (KeptPhoto& photo : report_.photos) {
      if (photo.how == Keeping::already) continue;
      if (photo.row.id != 0) {
        store_.record().set_file(photo.row);
        continue;
      }
      store_.record().add_photo(photo.row);
      photo.row.id = store_.record().photo_of_checksum(photo.row.checksum)->id;
    }
    transaction.commit();
  }

  void record_kept() const {
    Transaction transaction(store_.record().database());
    for (const KeptPhoto& photo : report_.photos) {
      if (is_copied(photo)) store_.record().mark_kept(photo.row.id);
    }
    transaction.commit();
  }

  void warn_of_difference(const KeptPhoto& photo) {
    if (photo.how == Keeping::kept || photo.how == Keeping::taken_in) return;
    if (photo.row.stage == options_.stage && photo.row.face == options_.face) return;
    report_.warnings.push_back(
        fmt::format("{}: is kept already, for stage {}{}; that stays as it is",
                    photo.given,
                    photo.row.stage,
                    photo.row.face ? " of face " + *photo.row.face : ""));
  }

  const OpenPhotoStore& store_;
  const KeepOptions& options_;
  KeepReport report_;
  std::map<std::string, std::string> seen_;
};

}  // namespace

bool is_stage(const std::string& word) {
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  };
  return !word.empty() && word.size() <= kLongestStage && word.front() >= 'a' &&
         word.front() <= 'z' && word.back() != '-' && std::all_of(word.begin(), word.end(), fits);
}

void KeepOptions::validate() const {
  const auto refusal = [](const char* field, const std::string& found, const char* rule) {
    return OptionError(
        {.file = field, .line = {}, .found = found, .expected = rule, .remedy = "write it so"});
  };
  if (!is_stage(stage)) {
    throw refusal(
        "stage",
        "\"" + utf8_of_name(stage) + "\"",
        "drawn, covered, fired or another word in lower-case letters, digits and hyphens");
  }
  if (face && (face->empty() || !is_one_line(*face))) {
    throw refusal("face", "a name that cannot be a face's", "one as in piece.toml");
  }
  if (!is_one_line(note)) {
    throw refusal("note", "a text that is too long or unreadable", "one line of 500 bytes at most");
  }
}

KeepReport keep_photos(const fs::path& piece_folder,
                       const std::vector<std::string>& files,
                       const KeepOptions& options,
                       const Progress& progress,
                       const Notice& notice) {
  options.validate();
  require_piece_folder(piece_folder);
  std::vector<Candidate> candidates;
  for (const std::string& file : files) {
    report(progress,
           "looking at photos",
           static_cast<double>(candidates.size()) / static_cast<double>(files.size()));
    candidates.push_back(candidate(file, options));
  }
  if (candidates.empty()) return {};
  const OpenPhotoStore store(piece_folder, notice);
  return KeepRun(store, options).run(candidates, progress);
}

std::vector<PhotoRow> kept_photos(const fs::path& piece_folder, const Notice& notice) {
  require_piece_folder(piece_folder);
  if (!fs::exists(fs::symlink_status(Record::path_in(piece_folder)))) return {};
  const OpenPhotoStore store(piece_folder, notice);
  std::vector<PhotoRow> rows = store.record().photos();
  std::erase_if(rows, [](const PhotoRow& row) { return row.state == PhotoState::promised; });
  return rows;
}

PhotoRow kept_photo(const fs::path& piece_folder, const std::string& which, const Notice& notice) {
  constexpr std::size_t kFewestDigits = 6;
  const std::vector<PhotoRow> rows = kept_photos(piece_folder, notice);
  std::vector<PhotoRow> meant;
  for (const PhotoRow& row : rows) {
    const bool checksum = which.size() >= kFewestDigits && row.checksum.starts_with(which);
    if (row.name == which || row.original_name == which || checksum) meant.push_back(row);
  }
  if (meant.size() == 1) return meant.front();
  throw InputError(
      {.file = piece_folder.string(),
       .line = {},
       .found = fmt::format("keeps {} called {}",
                            meant.empty() ? "no photo" : fmt::format("{} photos", meant.size()),
                            utf8_of_name(which)),
       .expected = {},
       .remedy = "underdraw keep DIR --list shows the names"});
}

}  // namespace underdraw
