# Writes a C header that holds the report's style and script: cmake -DOUT=... -DCSS=... -DJS=... -P
# embed_report.cmake; with the script's SHA-256 in base64, as a Content-Security-Policy names it.
set(text "/* Made from src/present/report/report.css and report.js; do not edit. */\n#include <stddef.h>\n")
foreach(part CSS JS)
  string(TOLOWER "report_${part}" name)
  file(READ ${${part}} bytes HEX)
  string(LENGTH "${bytes}" digits)
  math(EXPR size "${digits} / 2")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${bytes}")
  string(APPEND text "static const unsigned char ${name}[] = {${bytes}};\n"
                     "static const size_t ${name}_size = ${size};\n")
endforeach()

set(alphabet "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/")
file(SHA256 ${JS} digest)
set(hash "")
string(APPEND digest "00") # 33 bytes, in groups of three
foreach(at RANGE 0 60 6)
  string(SUBSTRING "${digest}" ${at} 6 group)
  foreach(shift 18 12 6 0)
    math(EXPR index "(0x${group} >> ${shift}) & 63")
    string(SUBSTRING "${alphabet}" ${index} 1 letter)
    string(APPEND hash "${letter}")
  endforeach()
endforeach()
string(SUBSTRING "${hash}" 0 43 hash)
string(APPEND text "static const char report_js_hash[] = \"${hash}=\";\n")
file(WRITE ${OUT} "${text}")
