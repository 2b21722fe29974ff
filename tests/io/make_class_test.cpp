#include "io/make_class.h"

#include <fstream>
#include <iterator>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "core/error.h"
#include "io/class_file.h"
#include "io/merge_pdfs.h"
#include "io/page_files.h"

namespace fs = std::filesystem;

namespace underdraw {
namespace {

using namespace testing_pages;

constexpr const char* kShared = R"(schema = 1
name = "Tiles"
sketches = ["hook"]

[[face]]
name = "tile"
form = "flat"
width = 60
height = 60

[[arrange]]
face = "tile"
style = "centre"
motifs = ["hook"]
height = 20
)";

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator(in), {}};
}

class MakeClass : public testing::Test {
 protected:
  MakeClass() : root_(folder_.file("class")) { fs::create_directories(root_ / "pages"); }

  void scan(const std::string& name) const {
    cv::Mat page(590, 590, CV_8UC1, cv::Scalar(245));
    cv::ellipse(page, {280, 320}, {110, 110}, 0, 0, 180, cv::Scalar(60), 6, cv::LINE_AA);
    cv::line(page, {170, 320}, {170, 120}, cv::Scalar(60), 6, cv::LINE_AA);
    write_png((root_ / "pages" / name).string(), page);
  }
  void write_class(const std::string& persons) const {
    std::ofstream(root_ / kClassFile) << kShared << persons;
  }
  std::string complaint() const {
    try {
      read_class_file(root_ / kClassFile);
    } catch (const Error& error) {
      return error.what();
    }
    return {};
  }

  TempFolder folder_;
  fs::path root_;
};

// One page is no page, one is missing, one is for a paper that is too small.
TEST_F(MakeClass, LetsNobodyBeStoppedByAnothersPage) {
  scan("Ilka.png");
  scan("réka.png");
  scan("Wen.png");
  scan("Stray.png");
  std::ofstream(root_ / "pages/Bram.png") << "no picture";
  write_class(R"(
[[person]]
name = "Ilka"
[[person]]
name = "Bram"
[[person]]
name = "Réka"
transfer = { method = "face-down" }
[[person]]
name = "Tove"
[[person]]
name = "Wen"
paper = { size = [50, 50] }
)");
  const ClassResult made = make_class(root_);
  EXPECT_TRUE(made.published);
  EXPECT_FALSE(made.complete());
  ASSERT_EQ(made.persons.size(), 5U);
  EXPECT_EQ(made.persons[0].problem, "");
  EXPECT_EQ(made.persons[2].problem, "");
  EXPECT_EQ(made.persons[2].method, "face-down");
  EXPECT_NE(made.persons[1].problem.find("Bram.png"), std::string::npos) << made.persons[1].problem;
  EXPECT_NE(made.persons[3].problem.find("Tove"), std::string::npos) << made.persons[3].problem;
  EXPECT_NE(made.persons[4].problem, "");
  ASSERT_EQ(made.warnings.size(), 1U);
  EXPECT_NE(made.warnings[0].find("Stray.png"), std::string::npos);

  // The pages stand one after the other, contents first, and the printer's file has them all.
  EXPECT_EQ(made.persons[0].first_page, 2);
  EXPECT_EQ(made.persons[2].first_page, made.persons[0].last_page + 1);
  EXPECT_EQ(made.persons[2].last_page, made.pages);
  EXPECT_EQ(pdf_page_count(text_of(root_ / "out/printer.pdf")), made.pages);

  // What the person gets is proved by the plan inside it, and has the name on it.
  const ProofReport proof = prove_pdf(root_ / "out/sheets/03-Réka.pdf");
  EXPECT_TRUE(proof.ok);
  const auto plan = nlohmann::json::parse(text_of(root_ / "out/persons/03-Réka/sheets.json"));
  EXPECT_EQ(plan.at("piece"), "Réka · Tiles");
  EXPECT_FALSE(fs::exists(root_ / "out/sheets/02-Bram.pdf"));
  EXPECT_EQ(nlohmann::json::parse(text_of(root_ / "out/class.json")).at("persons").size(), 5U);
}

TEST_F(MakeClass, TakesEverybodyWhoHandedInAScanWhenThereIsNoList) {
  scan("Noor.png");
  scan("Aino.png");
  write_class("");
  const ClassFile file = read_class_file(root_ / kClassFile);
  ASSERT_EQ(file.persons.size(), 2U);
  EXPECT_EQ(file.persons[0].name, "Aino");
  EXPECT_TRUE(file.persons[0].piece);
  EXPECT_EQ(file.persons[1].file_name, "02-Noor");
}

TEST_F(MakeClass, TakesThePagesOfOneFileInTheOrderOfTheList) {
  scan("stack.png");
  write_class("[[person]]\nname = \"Ilka\"\n[[person]]\nname = \"Noor\"\n");
  std::string text = text_of(root_ / kClassFile);
  text.insert(text.find("sketches"), "scans = \"pages/stack.png\"\n");
  std::ofstream(root_ / kClassFile) << text;
  const ClassFile file = read_class_file(root_ / kClassFile);
  ASSERT_TRUE(file.persons[1].piece) << file.persons[1].complaint;
  EXPECT_EQ(file.persons[1].piece->pages.front().file, "pages/stack.png");
  EXPECT_EQ(file.persons[1].piece->pages.front().page, 2);
}

TEST_F(MakeClass, KeepsTwoOfOneNameApart) {
  scan("Mika.png");
  scan("other.png");
  write_class(
      "[[person]]\nname = \"Mika\"\n[[person]]\nname = \"Mika\"\nfile = \"pages/other.png\"\n"
      "[[person]]\nname = \"Mika\"\n");
  const ClassFile file = read_class_file(root_ / kClassFile);
  EXPECT_EQ(file.persons[1].name, "Mika (2)");
  EXPECT_EQ(file.persons[1].file_name, "02-Mika-2");
  ASSERT_TRUE(file.persons[1].piece);
  EXPECT_EQ(file.persons[1].piece->name, "Mika (2) · Tiles");
  // The third would get the first one's drawing.
  EXPECT_NE(file.persons[2].complaint.find("somebody else's"), std::string::npos);
}

TEST_F(MakeClass, RefusesOnceWhatIsWrongForAll) {
  scan("Ilka.png");
  write_class("[lines]\nwidth = 1\n");
  EXPECT_NE(complaint().find("unknown key 'lines'"), std::string::npos) << complaint();
  write_class("[paper]\nsize = \"A44\"\n");
  EXPECT_NE(complaint().find("A44"), std::string::npos) << complaint();
  fs::remove(root_ / "pages/Ilka.png");
  write_class("");
  EXPECT_NE(complaint().find("nobody"), std::string::npos) << complaint();
}

TEST_F(MakeClass, LeavesOutAsItWasWhenNobodysSheetsCanBeMade) {
  fs::create_directories(root_ / "out");
  std::ofstream(root_ / "out/kept.txt") << "kept";
  write_class("[[person]]\nname = \"Ilka\"\n");
  EXPECT_FALSE(make_class(root_).published);
  EXPECT_EQ(text_of(root_ / "out/kept.txt"), "kept");
}

TEST(PersonFileName, StaysInItsFolderAndIsNeverTakenTwice) {
  EXPECT_EQ(person_file_name(0, 30, "Ilka"), "01-Ilka");
  EXPECT_EQ(person_file_name(6, 30, "Réka Ö"), "07-Réka-Ö");
  EXPECT_EQ(person_file_name(1, 30, "../../etc/passwd"), "02-etc-passwd");
  EXPECT_EQ(person_file_name(2, 30, "a\\b:c*?\"<>|\n"), "03-a-b-c");
  EXPECT_EQ(person_file_name(3, 30, "..."), "04");
  EXPECT_EQ(person_file_name(4, 200, ".-rf"), "005-rf");
  EXPECT_LT(person_file_name(5, 30, std::string(4000, 'x')).size(), 80U);
}

}  // namespace
}  // namespace underdraw
