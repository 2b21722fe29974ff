#include "io/printer_file.h"

#include <cstdlib>
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "core/error.h"
#include "support/own_folder.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

class PrinterFile : public testing::Test {
 protected:
  void write(const std::string& text) const {
    fs::create_directories(file_.parent_path());
    std::ofstream(file_) << text;
  }
  std::string text() const {
    std::ifstream in(file_);
    return {std::istreambuf_iterator(in), {}};
  }
  std::string refusal_of(const std::string& content) const {
    write(content);
    try {
      read_printers(file_);
    } catch (const InputError& error) {
      return error.what();
    }
    return "accepted";
  }

  const test::OwnFolder folder_;
  const fs::path file_ = folder_.path() / "settings" / "underdraw" / "printers.toml";
  const PrinterCorrection laser_{"studio-laser", 0.995, 1.003};
  const PrinterCorrection other_{"Möwe \"upstairs\" \\ 2", 1.0, 0.9981};
};

TEST_F(PrinterFile, NoFileMeansNoPrinters) {
  EXPECT_TRUE(read_printers(file_).empty());
  EXPECT_FALSE(fs::exists(file_.parent_path()));  // looking makes nothing
}

TEST_F(PrinterFile, WhatIsKeptComesBackWhateverItsName) {
  EXPECT_FALSE(keep_printer(file_, laser_));
  EXPECT_FALSE(keep_printer(file_, other_));
  EXPECT_EQ(read_printers(file_), (std::vector{laser_, other_}));
  EXPECT_EQ(printer_named(file_, other_.name), other_);
}

TEST_F(PrinterFile, APrinterMeasuredAgainTakesTheOldOnesPlace) {
  keep_printer(file_, laser_);
  keep_printer(file_, other_);
  const PrinterCorrection again{"studio-laser", 0.996, 1.001};
  EXPECT_EQ(keep_printer(file_, again), laser_);
  EXPECT_EQ(read_printers(file_), (std::vector{again, other_}));
}

TEST_F(PrinterFile, RemovesOneAndLeavesTheOthers) {
  keep_printer(file_, laser_);
  keep_printer(file_, other_);
  remove_printer(file_, laser_.name);
  EXPECT_EQ(read_printers(file_), std::vector{other_});
  EXPECT_THROW(remove_printer(file_, laser_.name), InputError);
  EXPECT_EQ(read_printers(file_), std::vector{other_});
}

TEST_F(PrinterFile, AnUnknownPrinterIsRefusedWithTheKnownOnes) {
  EXPECT_THROW(remove_printer(file_, "studio-laser"), InputError);
  EXPECT_FALSE(fs::exists(file_.parent_path()));
  keep_printer(file_, laser_);
  try {
    printer_named(file_, "studio-lazer");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.complaint().expected, "studio-laser");
    EXPECT_EQ(error.complaint().remedy, "did you mean studio-laser?");
  }
}

TEST_F(PrinterFile, DamageIsRefusedByLineAndNothingIsOverwritten) {
  const std::string head = "schema = 1\n[[printer]]\nname = \"a\"\n";
  EXPECT_EQ(refusal_of(head + "across = 1\ndown = 1.0\n"), "accepted");
  EXPECT_NE(refusal_of(head + "across = 1.2\ndown = 1.0\n").find("printers.toml:4: "),
            std::string::npos);
  EXPECT_NE(refusal_of(head + "across = nan\ndown = 1.0\n").find("across"), std::string::npos);
  EXPECT_NE(refusal_of(head + "across = 1.0\n").find("down"), std::string::npos);
  EXPECT_NE(refusal_of(head + "across = 1.0\ndown = 1.0\nblue = 1\n").find("blue"),
            std::string::npos);
  EXPECT_NE(refusal_of("schema = 2\n").find("newer underdraw"), std::string::npos);
  EXPECT_NE(refusal_of(head + "across = 1.0\ndown = 1.0\n[[printer]]\nname = \"a\"\nacross = "
                              "1.0\ndown = 1.0\n")
                .find("there twice"),
            std::string::npos);
  write("schema = 1\nbroken");
  EXPECT_THROW(keep_printer(file_, laser_), InputError);
  EXPECT_EQ(text(), "schema = 1\nbroken");
}

// XDG Base Directory Specification 0.8: $XDG_CONFIG_HOME, else $HOME/.config; relative: ignored.
TEST(PrintersFile, LiesInTheConfigurationFolder) {
  const auto keep = [](const char* name) {
    const char* value = std::getenv(name);
    return value ? std::optional<std::string>(value) : std::nullopt;
  };
  const auto put = [](const char* name, const std::optional<std::string>& value) {
    if (value) {
      ::setenv(name, value->c_str(), 1);
    } else {
      ::unsetenv(name);
    }
  };
  const auto config = keep("XDG_CONFIG_HOME");
  const auto home = keep("HOME");
  put("HOME", "/home/tern");
  put("XDG_CONFIG_HOME", "/settings");
  EXPECT_EQ(printers_file(), "/settings/underdraw/printers.toml");
  for (const auto& none : {std::optional<std::string>(),
                           std::optional<std::string>(""),
                           std::optional<std::string>("settings")}) {
    put("XDG_CONFIG_HOME", none);
    EXPECT_EQ(printers_file(), "/home/tern/.config/underdraw/printers.toml");
  }
  put("HOME", {});
  EXPECT_THROW(printers_file(), InputError);
  put("HOME", home);
  put("XDG_CONFIG_HOME", config);
}

}  // namespace
}  // namespace underdraw
