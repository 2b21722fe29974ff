// Stands in for qpdf/JSON.hh, which no file here uses and clang 16 cannot compile with the library
// of GCC 12: a vector of a class that is still incomplete, in C++20.
//
// Stage: tests; for the fuzzer's build alone.
#define JSON_HH

#include <functional>
#include <list>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include <qpdf/DLL.h>
#include <qpdf/PointerHolder.hh>
#include <qpdf/Types.h>

class JSON;
