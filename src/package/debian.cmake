# Debian packages: the program, the library and what it takes to build against it.
# cmake -DCMAKE_BUILD_TYPE=Release -DCMAKE_INSTALL_PREFIX=/usr ..., build, cpack -G DEB.
set(soname ${PROJECT_VERSION_MAJOR}.${PROJECT_VERSION_MINOR})
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME coaming)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_CONTACT "The coaming authors <coaming@packages.invalid>")
set(CPACK_PACKAGE_VENDOR "The coaming authors")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ
    GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program library development)
set(CPACK_DEBIAN_ENABLE_COMPONENT_DEPENDS ON)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS_PRIVATE_DIRS ${PROJECT_BINARY_DIR})
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME coaming)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_COMPONENT_PROGRAM_DEPENDS library)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "compartment integrity analyser for ships
Says which spaces of a ship flood or get bad air if a door, hatch or other
closure between them fails, which closures to repair first, which tests of
them are due, which line of closures to hold, how she floats, and what goes
on in time. Ships and logs of tests are XML files; answers are text, JSON,
sheets, calendars, graphs, drawings and pages for the screen and paper.")

set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME libcoaming${soname})
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libs)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS ON)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS_POLICY ">=")
set(CPACK_COMPONENT_LIBRARY_DESCRIPTION "compartment integrity of ships, shared library
Answers what a failed closure exposes in a ship and what to repair first;
the program coaming is a client of it.")

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libcoaming-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_COMPONENT_DEVELOPMENT_DEPENDS library)
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "compartment integrity of ships, development files
Headers, pkg-config file and CMake package of the library that answers what
a failed closure exposes in a ship and what to repair first.")

# What the policy asks for besides: documents, compressed pages, a trigger in place of scripts. The
# summary of the project would stand before each package's own.
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/src/package/documents.cmake)
set(CPACK_POST_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/src/package/trigger.cmake)
set(CPACK_PROJECT_CONFIG_FILE ${generated}/cpack.cmake)
file(WRITE ${generated}/cpack.cmake
     "set(COAMING_PACKAGE_FILES ${PROJECT_SOURCE_DIR}/src/package)\nset(CPACK_PACKAGE_DESCRIPTION_SUMMARY)\n")
include(CPack)
