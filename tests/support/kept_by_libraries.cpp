// What these libraries keep until the program ends is not ours to free (address sanitizer asks).
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() {
  return "leak:libx265\nleak:libfontconfig\n";
}
