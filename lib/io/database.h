// One SQLite database file: statements and transactions that end themselves, versions that rise one
// step at a time, and failures as complaints.
//
// Stage:   io, internal to it.
// Guarantee: what a transaction committed is on the disk (WAL, synchronous FULL). Several processes
//          may write at once: they wait for each other.
// Refuses: a file that is no database, another program's, damaged, or of a newer version
//          (InputError); a disk that is full or cannot be written, a database that another command
//          holds for longer than the wait (OutputError).
// Source:  sqlite.org: "Write-Ahead Logging", "PRAGMA user_version", "PRAGMA application_id".
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace underdraw {

// Brings a database from the version before it to its own. The script sets user_version itself,
// and the first one application_id too: pragmas take no parameters, and no SQL is put together from
// pieces here.
struct Migration {
  int version = 0;
  const char* script = nullptr;
};

struct DatabaseRules {
  int application_id = 0;
  std::span<const Migration> migrations;   // of version 1, 2, 3 …
  std::string when_unusable;               // what to do about a file that cannot be used
  std::chrono::milliseconds wait{10'000};  // for another process that writes
};

class Database;

// One statement with its values; used for one run. Columns and values count from 0 and 1, as in
// SQLite.
class Statement {
 public:
  Statement& bind(int place, std::int64_t value);
  Statement& bind(int place, double value);
  Statement& bind(int place, std::string_view value);
  Statement& bind_null(int place);
  template <typename T>
  Statement& bind(int place, const std::optional<T>& value) {
    return value ? bind(place, *value) : bind_null(place);
  }

  bool step();  // true: there is a row
  void run();   // to its end

  bool null(int column) const;
  std::int64_t whole(int column) const;
  double number(int column) const;
  std::string text(int column) const;

 private:
  friend class Database;
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const;
  };
  Statement(const Database& database, const char* sql);
  void check(int code) const;

  const Database* database_;
  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

class Database {
 public:
  // Made when it is missing; brought to the newest version.
  Database(const std::filesystem::path& path, const DatabaseRules& rules);
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;
  ~Database();

  // `sql` is a text that stands in the program.
  Statement statement(const char* sql) const { return Statement(*this, sql); }
  void run(const char* script) const;
  int version() const;
  std::int64_t changed_rows() const;  // by the last statement

  // Empty when SQLite finds nothing wrong, else its first finding.
  std::string damage() const;

 private:
  friend class Statement;
  struct Close {
    void operator()(sqlite3* handle) const;
  };
  [[noreturn]] void refuse(int code) const;
  [[noreturn]] void refuse_content(const std::string& found) const;
  void check(int code) const;
  void check_version() const;
  void use_write_ahead_log() const;
  void migrate() const;

  std::filesystem::path path_;
  DatabaseRules rules_;
  std::unique_ptr<sqlite3, Close> handle_;
};

// Undone unless committed. Holds the right to write from the start, so it cannot fail half way for
// want of it.
class Transaction {
 public:
  explicit Transaction(const Database& database);
  ~Transaction();
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit();

 private:
  const Database& database_;
  bool open_ = true;
};

}  // namespace underdraw
