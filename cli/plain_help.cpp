#include "plain_help.h"

#include <cctype>

#include <CLI/CLI.hpp>

namespace underdraw::cli {
namespace {

constexpr std::size_t kHelpColumn = 24;

// The option, its value, and what it means.
class PlainFormatter : public CLI::Formatter {
 public:
  std::string make_option_opts(const CLI::Option* option) const override {
    if (option->get_positional()) return "";
    const std::string name = value_of(option->get_type_name()).name;
    return name.empty() ? "" : " " + name;
  }
  std::string make_option_desc(const CLI::Option* option) const override {
    return meaning_of(*option);
  }
};

std::string sentence(std::string text) {
  text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text + ".";
}

}  // namespace

OptionValue value_of(const std::string& type_name) {
  const std::size_t colon = type_name.find(':');
  if (colon == std::string::npos) return {type_name, ""};
  return {type_name.substr(0, colon), type_name.substr(colon + 1)};
}

std::string meaning_of(const CLI::Option& option) {
  std::string text = option.get_description();
  const std::string range = value_of(option.get_type_name()).range;
  if (!range.empty()) text += "; " + range;
  if (!option.get_default_str().empty()) text += "; default " + option.get_default_str();
  return text;
}

std::unique_ptr<CLI::App> app_of(Command& command, bool* json) {
  auto app = std::make_unique<CLI::App>(sentence(command.summary()), "underdraw " + command.name());
  app->formatter(std::make_shared<PlainFormatter>());
  app->set_help_flag("-h,--help", "this page");
  command.declare(*app);
  app->add_flag("--json", *json, "print the results as one JSON object");
  app->footer("Example:\n  " + command.example());
  app->get_formatter()->column_width(kHelpColumn);
  return app;
}

}  // namespace underdraw::cli
