# Writes a C header that holds files as bytes: cmake -DOUT=... -DFILES=a;b -P embed.cmake
set(text "/* Made from the schemas in src/read; do not edit. */\n#include <stddef.h>\n")
foreach(file IN LISTS FILES)
  get_filename_component(name ${file} NAME)
  string(MAKE_C_IDENTIFIER "schema_${name}" name)
  file(READ ${file} bytes HEX)
  string(LENGTH "${bytes}" digits)
  math(EXPR size "${digits} / 2")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${bytes}")
  string(APPEND text "static const unsigned char ${name}[] = {${bytes}};\n"
                     "static const size_t ${name}_size = ${size};\n")
endforeach()
file(WRITE ${OUT} "${text}")
