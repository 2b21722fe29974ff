#!/bin/sh
# What the program must never do, looked for in its source: start a shell or another program, open a
# connection, write files under names that can be guessed, load code, or ask a network from a page it
# makes. Prints each line that does.
set -eu
cd "$(dirname "$0")/.."
bad=0

refuse() { # WHY PATTERN
  if grep -rnE --include='*.h' --include='*.cpp' --include='*.in' --include='*.html' \
    --include='*.css' --include='*.js' "$2" lib cli | grep -v 'http://www\.w3\.org/'; then
    echo "  $1" >&2
    bad=1
  fi
}

refuse "no shell and no other program is started" \
  '(^|[^a-zA-Z_.>])(std::)?(system|popen|execl[pe]?|execv[pe]*|fexecve|posix_spawnp?|v?fork) ?\('
refuse "no connection is opened" \
  '(^|[^a-zA-Z_.>])(::)?(socket|getaddrinfo|gethostbyname|accept) ?\(|sys/socket\.h|netinet/|curl/|boost/asio'
refuse "no file has a name that can be guessed; see StagingFolder in lib/io/out_folder.h" \
  '(^|[^a-zA-Z_])(tmpnam(_r)?|tempnam|mktemp|tmpfile) ?\(|temp_directory_path|"/(var/)?tmp'
refuse "no code is loaded" '(^|[^a-zA-Z_])dlopen ?\('
refuse "pages and drawings ask nothing of any network; only names of standards look like addresses" \
  '(https?:)?//(www\.)?[a-z0-9-]+\.(com|org|net|io|dev)|XMLHttpRequest|(^|[^a-zA-Z_])fetch ?\(|WebSocket|sendBeacon|@import'

exit $bad
