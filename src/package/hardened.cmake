# What the compiler and the linker can do so that a fault in memory ends the program instead of
# being used: each only where they know it. Not in Debug, for the checks of the C library need an
# optimiser; nor under sanitizers, which watch the same things and closer.
include(CheckCCompilerFlag)
include(CheckLinkerFlag)
include(CheckPIESupported)

check_pie_supported(OUTPUT_VARIABLE no_pie LANGUAGES C)
if(NOT CMAKE_C_LINK_PIE_SUPPORTED)
  message(STATUS "The program's place in memory will not be random: ${no_pie}")
endif()

set(hardened_options)
set(hardened_links)
if(COAMING_HARDENED AND NOT COAMING_SANITIZE)
  foreach(flag -fstack-protector-strong # a word behind each array on the stack, looked at on return
               -fstack-clash-protection # a big frame touches each of its pages, and so the guard
               -fcf-protection # x86: jumps go only where a jump may go, returns where the call was
               -mbranch-protection=standard) # the same on ARM
    string(MAKE_C_IDENTIFIER "COAMING_HAS${flag}" known)
    check_c_compiler_flag(${flag} ${known})
    if(${known})
      list(APPEND hardened_options ${flag})
    endif()
  endforeach()
  # The C library looks whether what is copied fits. Level 3 knows sizes that are worked out while
  # the program runs; a library that does not takes it for 2.
  list(APPEND hardened_options -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3)
  foreach(flag -Wl,-z,relro -Wl,-z,now # where functions are is worked out at the start, then read-only
               -Wl,-z,noexecstack)
    string(MAKE_C_IDENTIFIER "COAMING_LINKS${flag}" known)
    check_linker_flag(C ${flag} ${known})
    if(${known})
      list(APPEND hardened_links ${flag})
    endif()
  endforeach()
endif()
add_compile_options("$<$<NOT:$<CONFIG:Debug>>:${hardened_options}>")
add_link_options("$<$<NOT:$<CONFIG:Debug>>:${hardened_links}>")
