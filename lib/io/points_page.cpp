#include "io/points_page.h"

#include <fmt/format.h>

#include "io/html_text.h"
#include "io/page_text.h"

namespace underdraw {
namespace {

std::string options_of(const std::vector<PointsPhoto>& photos) {
  std::string out;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    out += fmt::format(
        "            <option value=\"{}\">{}</option>\n", i, html_escaped(photos[i].name));
  }
  return out;
}

std::string pictures_of(const std::vector<PointsPhoto>& photos) {
  std::string out;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const PointsPhoto& photo = photos[i];
    out += fmt::format(
        "          <div class=\"picture\" data-name=\"{}\" data-width=\"{}\" data-height=\"{}\" "
        "data-file-px=\"{:.6f}\"{}><img src=\"{}\" alt=\"\" draggable=\"false\"><svg "
        "viewBox=\"0 0 {} {}\" aria-hidden=\"true\"></svg></div>\n",
        html_escaped(photo.name),
        photo.width_px,
        photo.height_px,
        photo.file_px,
        i == 0 ? "" : " hidden",
        jpeg_data_uri(photo.jpeg),
        photo.width_px,
        photo.height_px);
  }
  return out;
}

}  // namespace

std::string points_page(const PointsPage& page) {
  return filled_page(points_page_text::kHtml,
                     {{"piece", html_escaped(page.piece)},
                      {"folder", html_escaped(page.folder)},
                      {"css", std::string(points_page_text::kCss)},
                      {"js", std::string(points_page_text::kJs)},
                      {"before_options", options_of(page.before)},
                      {"after_options", options_of(page.after)},
                      {"before_pictures", pictures_of(page.before)},
                      {"after_pictures", pictures_of(page.after)}});
}

}  // namespace underdraw
