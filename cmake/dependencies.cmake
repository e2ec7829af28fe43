# What the library itself is compiled with. All of it is header-only and stays inside: who links evenstroke needs none.
# A missing one is answered with the command that installs it.

function(evenstroke_missing what package)
  message(FATAL_ERROR "evenstroke needs ${what}, which was not found.\n"
    "  Debian and Ubuntu:  apt-get install ${package}\n"
    "Elsewhere install the same library and, if it stands in an unusual place, name it in CMAKE_PREFIX_PATH.")
endfunction()

set(THREADS_PREFER_PTHREAD_FLAG ON)
find_package(Threads REQUIRED)

find_package(Boost 1.74 CONFIG QUIET)
if(NOT TARGET Boost::headers)
  evenstroke_missing("the Boost headers (1.74 or newer)" libboost-dev)
endif()

find_package(Eigen3 CONFIG QUIET)   # without a version: a range or a number refuses either 3.4 or 5
if(NOT TARGET Eigen3::Eigen)
  evenstroke_missing("the Eigen headers" libeigen3-dev)
endif()

find_package(fmt CONFIG QUIET)
if(NOT TARGET fmt::fmt-header-only)
  evenstroke_missing("the fmt headers" libfmt-dev)
endif()

# Only the headers: Debian's CMake target would tie the library to a shared object.
find_path(evenstroke_TOML_DIR "toml++/toml.h" DOC "folder that holds toml++/toml.h")
mark_as_advanced(evenstroke_TOML_DIR)
if(NOT evenstroke_TOML_DIR)
  evenstroke_missing("the toml++ headers" libtomlplusplus-dev)
endif()
