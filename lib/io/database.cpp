#include "io/database.h"

#include <cerrno>
#include <thread>

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include "core/error.h"
#include "io/out_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

int whole_answer(const Database& database, const char* sql) {
  Statement statement = database.statement(sql);
  return statement.step() ? static_cast<int>(statement.whole(0)) : 0;
}

// SQLite would follow a link and lay its log beside the target.
void require_plain_file(const fs::path& path) {
  std::error_code error;
  const fs::file_status status = fs::symlink_status(path, error);
  if (status.type() == fs::file_type::not_found || fs::is_regular_file(status)) return;
  if (!fs::status_known(status)) refuse_write(path, error.value());
  throw InputError({.file = path.string(),
                    .line = {},
                    .found = fs::is_symlink(status)     ? "is a link"
                             : fs::is_directory(status) ? "is a folder"
                                                        : "is a device, not a file",
                    .expected = "a file, or nothing",
                    .remedy = "move it away; the command makes the file itself"});
}

}  // namespace

void Statement::Finalize::operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }

void Database::Close::operator()(sqlite3* handle) const { sqlite3_close(handle); }

Statement::Statement(const Database& database, const char* sql) : database_(&database) {
  sqlite3_stmt* statement = nullptr;
  const int code = sqlite3_prepare_v2(database.handle_.get(), sql, -1, &statement, nullptr);
  statement_.reset(statement);
  check(code);
}

void Statement::check(int code) const { database_->check(code); }

Statement& Statement::bind(int place, std::int64_t value) {
  check(sqlite3_bind_int64(statement_.get(), place, value));
  return *this;
}

Statement& Statement::bind(int place, double value) {
  check(sqlite3_bind_double(statement_.get(), place, value));
  return *this;
}

Statement& Statement::bind(int place, std::string_view value) {
  // An empty view may have no address, which SQLite takes for NULL.
  const char* text = value.empty() ? "" : value.data();
  check(sqlite3_bind_text64(
      statement_.get(), place, text, value.size(), SQLITE_TRANSIENT, SQLITE_UTF8));
  return *this;
}

Statement& Statement::bind_null(int place) {
  check(sqlite3_bind_null(statement_.get(), place));
  return *this;
}

bool Statement::step() {
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code != SQLITE_DONE) check(code);
  return false;
}

void Statement::run() {
  while (step()) {
  }
}

bool Statement::null(int column) const {
  return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

std::int64_t Statement::whole(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}

double Statement::number(int column) const {
  return sqlite3_column_double(statement_.get(), column);
}

std::string Statement::text(int column) const {
  const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement_.get(), column));
  if (text == nullptr) return {};
  return {text, static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column))};
}

Database::Database(const fs::path& path, const DatabaseRules& rules) : path_(path), rules_(rules) {
  require_plain_file(path);
  sqlite3* handle = nullptr;
  const int code =
      sqlite3_open_v2(path.c_str(), &handle, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr);
  handle_.reset(handle);
  check(code);
  sqlite3_extended_result_codes(handle, 1);
  check(sqlite3_busy_timeout(handle, static_cast<int>(rules.wait.count())));
  // A file from elsewhere runs no code of its own (sqlite.org, "Defense Against The Dark Arts").
  sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  run("PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL;");
  check_version();
  use_write_ahead_log();
  migrate();
}

Database::~Database() = default;

void Database::run(const char* script) const {
  check(sqlite3_exec(handle_.get(), script, nullptr, nullptr, nullptr));
}

int Database::version() const { return whole_answer(*this, "PRAGMA user_version"); }

std::int64_t Database::changed_rows() const { return sqlite3_changes64(handle_.get()); }

std::string Database::damage() const {
  Statement check = statement("PRAGMA quick_check(1)");
  const std::string answer = check.step() ? check.text(0) : "no answer";
  return answer == "ok" ? "" : answer;
}

void Database::check_version() const {
  const int found = version();
  const int newest = rules_.migrations.empty() ? 0 : rules_.migrations.back().version;
  const int id = whole_answer(*this, "PRAGMA application_id");
  const bool empty = whole_answer(*this, "SELECT count(*) FROM sqlite_master") == 0;
  if (empty && found == 0 && id == 0) return;
  if (id != rules_.application_id) refuse_content("is the database of another program");
  if (found <= newest) return;
  throw InputError({.file = path_.string(),
                    .line = {},
                    .found = fmt::format("is of version {}, made by a newer underdraw", found),
                    .expected = fmt::format("version {} at most", newest),
                    .remedy = "install the newer underdraw; nothing was changed"});
}

void Database::use_write_ahead_log() const {
  // The mode is kept in the file. Changing it does not wait for other processes by itself.
  const auto start = std::chrono::steady_clock::now();
  for (;;) {
    sqlite3_stmt* mode = nullptr;
    int code = sqlite3_prepare_v2(handle_.get(), "PRAGMA journal_mode = WAL", -1, &mode, nullptr);
    if (code == SQLITE_OK) code = sqlite3_step(mode);
    sqlite3_finalize(mode);
    if (code == SQLITE_ROW || code == SQLITE_DONE) return;
    if ((code & 0xFF) != SQLITE_BUSY || std::chrono::steady_clock::now() - start > rules_.wait) {
      check(code);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
}

void Database::migrate() const {
  if (!rules_.migrations.empty() && version() == rules_.migrations.back().version) return;
  Transaction transaction(*this);
  check_version();  // another process may have been here meanwhile
  for (const Migration& migration : rules_.migrations) {
    if (migration.version > version()) run(migration.script);
  }
  transaction.commit();
}

void Database::check(int code) const {
  if (code != SQLITE_OK) refuse(code);
}

void Database::refuse_content(const std::string& found) const {
  throw InputError({.file = path_.string(),
                    .line = {},
                    .found = found,
                    .expected = {},
                    .remedy = rules_.when_unusable});
}

void Database::refuse(int code) const {
  const int system_error = handle_ ? sqlite3_system_errno(handle_.get()) : 0;
  switch (code & 0xFF) {
    case SQLITE_NOMEM:
      throw std::bad_alloc();
    case SQLITE_NOTADB:
      refuse_content("is no database, or a damaged one");
    case SQLITE_CORRUPT:
      refuse_content("is damaged");
    case SQLITE_FULL:
      refuse_write(path_, ENOSPC);
    case SQLITE_PERM:
    case SQLITE_READONLY:
      refuse_write(path_, system_error == EROFS ? EROFS : EACCES);
    case SQLITE_CANTOPEN: {
      // A log that cannot be made beside it is told as one that is not there.
      const fs::path folder = path_.has_parent_path() ? path_.parent_path() : fs::path(".");
      if (::faccessat(AT_FDCWD, folder.c_str(), W_OK, AT_EACCESS) != 0) refuse_write(path_, errno);
      refuse_write(path_, system_error != 0 ? system_error : EACCES);
    }
    case SQLITE_IOERR:
      refuse_write(path_, system_error != 0 ? system_error : EIO);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw OutputError({.file = path_.string(),
                         .line = {},
                         .found = fmt::format("has been held by another program for {:.0f} s",
                                              std::chrono::duration<double>(rules_.wait).count()),
                         .expected = {},
                         .remedy = "let it finish, then run this again; nothing was changed"});
    default:
      refuse_content(handle_ ? sqlite3_errmsg(handle_.get()) : sqlite3_errstr(code));
  }
}

Transaction::Transaction(const Database& database) : database_(database) {
  database.run("BEGIN IMMEDIATE");
}

Transaction::~Transaction() {
  if (!open_) return;
  try {
    database_.run("ROLLBACK");
  } catch (const std::exception&) {
    // SQLite has rolled back by itself after a failure such as a full disk.
  }
}

void Transaction::commit() {
  database_.run("COMMIT");
  open_ = false;
}

}  // namespace underdraw
