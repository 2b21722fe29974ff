#include "io/pdf_sole_image.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include <qpdf/QPDFMatrix.hh>

namespace underdraw {
namespace {

using namespace std::string_view_literals;

constexpr double kEdgeShare = 0.01;  // how far edges may be apart, of the page's side

// Beyond these it is no scanner's page; a file of nothing else must not fill the memory.
constexpr std::size_t kMostOperands = 1000;
constexpr std::size_t kDeepest = 1000;

// Operators that put nothing on the page and do not change where an image lands.
constexpr std::array kHarmless{"BMC"sv, "BX"sv, "CS"sv,  "EMC"sv, "ET"sv, "EX"sv,  "G"sv,  "J"sv,
                               "K"sv,   "M"sv,  "MP"sv,  "RG"sv,  "SC"sv, "SCN"sv, "T*"sv, "TD"sv,
                               "TL"sv,  "Tc"sv, "Td"sv,  "Tf"sv,  "Tm"sv, "Ts"sv,  "Tw"sv, "Tz"sv,
                               "cs"sv,  "d"sv,  "g"sv,   "i"sv,   "j"sv,  "k"sv,   "n"sv,  "rg"sv,
                               "ri"sv,  "sc"sv, "scn"sv, "w"sv};

constexpr std::array kShowText{"Tj"sv, "TJ"sv, "'"sv, "\""sv};

template <typename List>
bool in(const List& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

bool near(const PdfBox& a, const PdfBox& b) {
  const double x = kEdgeShare * b.width();
  const double y = kEdgeShare * b.height();
  return std::abs(a.left - b.left) <= x && std::abs(a.right - b.right) <= x &&
         std::abs(a.bottom - b.bottom) <= y && std::abs(a.top - b.top) <= y;
}

bool covers(const PdfBox& a, const PdfBox& b) {
  const double x = kEdgeShare * b.width();
  const double y = kEdgeShare * b.height();
  return a.left <= b.left + x && a.right >= b.right - x && a.bottom <= b.bottom + y &&
         a.top >= b.top - y;
}

PdfBox mapped(const QPDFMatrix& matrix, double x, double y, double width, double height) {
  const auto box =
      matrix.transformRectangle(QPDFObjectHandle::Rectangle(x, y, x + width, y + height));
  return {.left = box.llx, .bottom = box.lly, .right = box.urx, .top = box.ury};
}

// Walks through the page's operators and gives up at the first that is not expected.
class ImageFinder : public QPDFObjectHandle::ParserCallbacks {
 public:
  ImageFinder(QPDFObjectHandle resources, const PdfBox& visible)
      : resources_(std::move(resources)), visible_(visible) {}

  void handleObject(QPDFObjectHandle object) override {
    if (!object.isOperator() && operands_.size() < kMostOperands) {
      operands_.push_back(object);
      return;
    }
    if (!object.isOperator() || !take(object.getOperatorValue())) {
      image_.reset();
      failed_ = true;
      terminateParsing();
    }
    operands_.clear();
  }
  void handleEOF() override {}

  std::optional<SoleImage> found() const { return failed_ ? std::nullopt : image_; }

 private:
  struct State {
    QPDFMatrix page_from_user;
    bool text_shows = true;
  };

  bool take(const std::string& word) {
    if (in(kHarmless, word)) {
      if (word == "n") rectangle_.reset();
      return true;
    }
    if (in(kShowText, word)) return !state_.text_shows;
    if (word == "BT") return true;
    if (word == "q") {
      saved_.push_back(state_);
      return saved_.size() < kDeepest;
    }
    if (word == "Q") {
      if (saved_.empty()) return false;
      state_ = saved_.back();
      saved_.pop_back();
      return true;
    }
    if (word == "cm") return take_matrix();
    if (word == "Tr") {
      state_.text_shows = !(has_numbers(1) && number(0) == 3.0);
      return true;
    }
    if (word == "re") {
      if (!has_numbers(4) || rectangle_) return false;
      rectangle_ = mapped(state_.page_from_user, number(0), number(1), number(2), number(3));
      return true;
    }
    if (word == "W" || word == "W*") return rectangle_ && covers(*rectangle_, visible_);
    if (word == "gs") return take_graphics_state();
    if (word == "Do") return take_image();
    return false;
  }

  bool has_numbers(std::size_t count) {
    return operands_.size() == count &&
           std::all_of(operands_.begin(), operands_.end(), [](QPDFObjectHandle& operand) {
             return operand.isNumber();
           });
  }
  double number(std::size_t index) { return operands_[index].getNumericValue(); }

  bool take_matrix() {
    if (!has_numbers(6)) return false;
    state_.page_from_user.concat(
        QPDFMatrix(number(0), number(1), number(2), number(3), number(4), number(5)));
    return true;
  }

  QPDFObjectHandle resource(const std::string& kind) {
    if (operands_.size() != 1 || !operands_[0].isName()) return QPDFObjectHandle::newNull();
    QPDFObjectHandle all =
        resources_.isDictionary() ? resources_.getKey(kind) : QPDFObjectHandle::newNull();
    return all.isDictionary() ? all.getKey(operands_[0].getName()) : QPDFObjectHandle::newNull();
  }

  // Transparency, masks and blending would change the image.
  bool take_graphics_state() {
    QPDFObjectHandle state = resource("/ExtGState");
    if (!state.isDictionary()) return false;
    QPDFObjectHandle opacity = state.getKey("/ca");
    QPDFObjectHandle mask = state.getKey("/SMask");
    QPDFObjectHandle blend = state.getKey("/BM");
    return (opacity.isNull() || (opacity.isNumber() && opacity.getNumericValue() == 1.0)) &&
           (mask.isNull() || mask.isNameAndEquals("/None")) &&
           (blend.isNull() || blend.isNameAndEquals("/Normal")) && state.getKey("/TR").isNull() &&
           state.getKey("/TR2").isNull();
  }

  bool take_image() {
    QPDFObjectHandle image = resource("/XObject");
    if (image_ || !image.isStream() || !image.getDict().getKey("/OC").isNull()) return false;
    QPDFObjectHandle dict = image.getDict();
    QPDFObjectHandle width = dict.getKey("/Width");
    QPDFObjectHandle height = dict.getKey("/Height");
    QPDFObjectHandle stencil = dict.getKey("/ImageMask");
    if (!dict.getKey("/Subtype").isNameAndEquals("/Image") || !width.isInteger() ||
        !height.isInteger() || (stencil.isBool() && stencil.getBoolValue())) {
      return false;
    }
    const QPDFMatrix& m = state_.page_from_user;
    const double skew = 1e-6 * (std::abs(m.a) + std::abs(m.d));
    if (!(m.a > 0.0 && m.d > 0.0 && std::abs(m.b) <= skew && std::abs(m.c) <= skew)) return false;
    image_ = SoleImage{.image = image,
                       .box = mapped(m, 0.0, 0.0, 1.0, 1.0),
                       .width_px = width.getIntValueAsInt(),
                       .height_px = height.getIntValueAsInt()};
    return image_->width_px > 0 && image_->height_px > 0 && near(image_->box, visible_);
  }

  QPDFObjectHandle resources_;
  PdfBox visible_;
  State state_;
  std::vector<State> saved_;
  std::vector<QPDFObjectHandle> operands_;
  std::optional<PdfBox> rectangle_;
  std::optional<SoleImage> image_;
  bool failed_ = false;
};

}  // namespace

std::optional<SoleImage> find_sole_image(QPDFPageObjectHelper page, const PdfBox& visible) {
  QPDFObjectHandle notes = page.getAttribute("/Annots", false);
  if (notes.isArray() && notes.getArrayNItems() > 0) return {};
  ImageFinder finder(page.getAttribute("/Resources", false), visible);
  page.parseContents(&finder);
  return finder.found();
}

}  // namespace underdraw
