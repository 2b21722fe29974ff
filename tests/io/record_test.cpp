#include "io/record.h"

#include <fstream>
#include <vector>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/error.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

PhotoRow a_row(int number = 1) {
  PhotoRow row;
  row.checksum = std::string(60, 'a') + std::to_string(1000 + number);
  row.name = "photo-" + std::to_string(number) + ".jpg";
  row.original_name = "IMG'\"; DROP TABLE photo; --.jpg";
  row.bytes = 1234;
  row.facts = {.kind = PageKind::png,
               .width_px = 40,
               .height_px = 30,
               .orientation = 6,
               .taken_at = "2026-05-03T14:15:22",
               .camera_make = {},
               .camera_model = "Tern Pocket 2",
               .focal_length_mm = 6.2,
               .focal_length_35mm = {}};
  row.stage = "drawn";
  row.face = "wall";
  row.note = "";
  row.added_at = "2026-05-03T16:00:00Z";
  row.state = PhotoState::promised;
  row.copy_name = ".copy";
  return row;
}

// By the C interface: what another program would do.
void run_sql(const fs::path& path, const std::string& sql) {
  sqlite3* handle = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &handle), SQLITE_OK);
  EXPECT_EQ(sqlite3_exec(handle, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
      << sqlite3_errmsg(handle);
  sqlite3_close(handle);
}

std::string refusal_of(const fs::path& folder) {
  try {
    const Record record(folder);
  } catch (const Error& error) {
    return error.what();
  }
  return "opened";
}

std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

class RecordTest : public testing::Test {
 protected:
  const test::OwnFolder own_;
  const fs::path folder_ = own_.path();
  const fs::path file_ = Record::path_in(folder_);
};

TEST_F(RecordTest, GivesBackWhatItWasGiven) {
  {
    const Record record(folder_);
    record.add_photo(a_row());
    record.mark_kept(record.photos().at(0).id);
  }
  const std::vector<PhotoRow> rows = Record(folder_).photos();
  ASSERT_EQ(rows.size(), 1U);
  const PhotoRow& row = rows.front();
  const PhotoRow due = a_row();
  EXPECT_EQ(row.checksum, due.checksum);
  EXPECT_EQ(row.original_name, due.original_name);
  EXPECT_EQ(row.facts.kind, PageKind::png);
  EXPECT_EQ(row.facts.taken_at, due.facts.taken_at);
  EXPECT_FALSE(row.facts.camera_make);
  EXPECT_EQ(row.facts.camera_model, "Tern Pocket 2");
  EXPECT_EQ(row.facts.focal_length_mm, 6.2);
  EXPECT_FALSE(row.facts.focal_length_35mm);
  EXPECT_EQ(row.face, "wall");
  EXPECT_EQ(row.note, "");
  EXPECT_EQ(row.state, PhotoState::kept);
  EXPECT_EQ(row.copy_name, "");
}

TEST_F(RecordTest, UsesTheWriteAheadLogAndForeignKeys) {
  const Record record(folder_);
  Statement mode = record.database().statement("PRAGMA journal_mode");
  ASSERT_TRUE(mode.step());
  EXPECT_EQ(mode.text(0), "wal");
  Statement keys = record.database().statement("PRAGMA foreign_keys");
  ASSERT_TRUE(keys.step());
  EXPECT_EQ(keys.whole(0), 1);
}

TEST_F(RecordTest, TakesTheSameChecksumOnce) {
  const Record record(folder_);
  record.add_photo(a_row(1));
  PhotoRow again = a_row(1);
  again.name = "other.jpg";
  EXPECT_THROW(record.add_photo(again), Error);
  EXPECT_EQ(record.photos().size(), 1U);
}

TEST_F(RecordTest, TransactionsThatAreNotCommittedLeaveNothing) {
  const Record record(folder_);
  {
    const Transaction transaction(record.database());
    record.add_photo(a_row());
  }
  EXPECT_TRUE(record.photos().empty());
}

// A later version of the program, which has a table for shards.
constexpr int kVersion = 2;
std::vector<Migration> with_shards(const char* script = R"(
      CREATE TABLE shard (id INTEGER PRIMARY KEY, photo INTEGER REFERENCES photo (id)) STRICT;
      PRAGMA user_version = 3;)") {
  const auto now = record_migrations();
  std::vector<Migration> later(now.begin(), now.end());
  later.push_back({kVersion + 1, script});
  return later;
}

TEST_F(RecordTest, AFileOfTodayOpensInANewerProgram) {
  Record(folder_).add_photo(a_row());
  const auto migrations = with_shards();
  const Record newer(folder_, migrations);
  EXPECT_EQ(newer.database().version(), kVersion + 1);
  EXPECT_EQ(newer.photos().size(), 1U);
  newer.database().run("INSERT INTO shard (photo) VALUES (1)");
  EXPECT_THROW(newer.database().run("INSERT INTO shard (photo) VALUES (99)"), Error);
}

TEST_F(RecordTest, AMigrationThatFailsLeavesTheOldVersion) {
  Record(folder_).add_photo(a_row());
  const auto broken = with_shards(
      "CREATE TABLE shard (id INTEGER); PRAGMA user_version = 3; SELECT * FROM no_such;");
  EXPECT_THROW(Record(folder_, broken), Error);
  const Record record(folder_);
  EXPECT_EQ(record.database().version(), kVersion);
  EXPECT_EQ(record.photos().size(), 1U);
}

TEST_F(RecordTest, ANewerFileIsRefusedWithARemedyAndUnchanged) {
  {
    const auto migrations = with_shards();
    const Record newer(folder_, migrations);
  }
  const std::string before = bytes_of(file_);
  EXPECT_EQ(refusal_of(folder_),
            file_.string() +
                ": is of version 3, made by a newer underdraw (expected version 2 at "
                "most); install the newer underdraw; nothing was changed");
  EXPECT_EQ(bytes_of(file_), before);
}

// The first version as it was released, typed in and not taken from the program: a file of that
// time opens for ever.
TEST_F(RecordTest, AFileOfTheFirstReleaseOpens) {
  run_sql(file_, R"(
    PRAGMA journal_mode = WAL;
    CREATE TABLE photo (id INTEGER PRIMARY KEY AUTOINCREMENT,
      checksum TEXT NOT NULL UNIQUE CHECK (length(checksum) = 64),
      name TEXT NOT NULL UNIQUE CHECK (name <> ''), original_name TEXT NOT NULL,
      bytes INTEGER NOT NULL CHECK (bytes > 0), kind TEXT NOT NULL,
      width_px INTEGER NOT NULL CHECK (width_px > 0),
      height_px INTEGER NOT NULL CHECK (height_px > 0),
      orientation INTEGER NOT NULL CHECK (orientation BETWEEN 1 AND 8),
      taken_at TEXT, camera_make TEXT, camera_model TEXT, focal_length_mm REAL,
      focal_length_35mm REAL, stage TEXT NOT NULL CHECK (stage <> ''), face TEXT,
      note TEXT NOT NULL, added_at TEXT NOT NULL,
      state TEXT NOT NULL CHECK (state IN ('promised', 'kept', 'returning')),
      copy_name TEXT NOT NULL CHECK ((copy_name = '') = (state = 'kept'))) STRICT;
    CREATE INDEX photo_by_stage ON photo (stage, face);
    INSERT INTO photo VALUES (7, 'c0ffee0000000000000000000000000000000000000000000000000000000000',
      'a.jpg', 'A.JPG', 5, 'HEIC', 4, 3, 1, NULL, NULL, NULL, NULL, 27.0, 'fired', NULL,
      'kelp side', '2026-05-03T16:00:00Z', 'kept', '');
    PRAGMA application_id = 1969517175; PRAGMA user_version = 1;)");
  const Record record(folder_);
  EXPECT_EQ(record.database().version(), kVersion);
  const std::vector<PhotoRow> rows = record.photos();
  ASSERT_EQ(rows.size(), 1U);
  EXPECT_EQ(rows[0].facts.kind, PageKind::heic);
  EXPECT_EQ(rows[0].facts.focal_length_35mm, 27.0);
  EXPECT_EQ(rows[0].note, "kelp side");
  EXPECT_FALSE(rows[0].face);
}

TEST_F(RecordTest, ForeignAndDamagedFilesAreRefusedAndUnchanged) {
  run_sql(file_, "CREATE TABLE shells (name TEXT)");
  std::string before = bytes_of(file_);
  EXPECT_NE(refusal_of(folder_).find("is the database of another program"), std::string::npos);
  EXPECT_EQ(bytes_of(file_), before);

  std::ofstream(file_, std::ios::binary) << std::string(5000, 'x');
  EXPECT_NE(refusal_of(folder_).find("record.db: is no database, or a damaged one; restore it"),
            std::string::npos);
  EXPECT_EQ(bytes_of(file_), std::string(5000, 'x'));

  fs::remove(file_);
  std::ofstream(folder_ / "elsewhere.db") << "";
  fs::create_symlink(folder_ / "elsewhere.db", file_);
  EXPECT_NE(refusal_of(folder_).find("record.db: is a link"), std::string::npos);
  fs::remove(file_);
  fs::create_directory(file_);
  EXPECT_NE(refusal_of(folder_).find("record.db: is a folder"), std::string::npos);
}

TEST_F(RecordTest, AnEmptyFileOfAKilledFirstCommandBecomesARecord) {
  std::ofstream(file_, std::ios::binary) << "";
  EXPECT_EQ(refusal_of(folder_), "opened");
  EXPECT_EQ(Record(folder_).database().version(), kVersion);
}

TEST_F(RecordTest, OpensOnceForManyAtTheSameTime) {
  constexpr int kProcesses = 6;
  std::vector<pid_t> children;
  for (int i = 0; i < kProcesses; ++i) {
    const pid_t child = ::fork();
    if (child == 0) {
      int code = 0;
      try {
        Record(folder_).add_photo(a_row(i));
      } catch (const std::exception& error) {
        std::fprintf(stderr, "%s\n", error.what());
        code = 1;
      }
      ::_exit(code);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_EQ(status, 0);
  }
  EXPECT_EQ(Record(folder_).photos().size(), static_cast<std::size_t>(kProcesses));
}

}  // namespace
}  // namespace underdraw
