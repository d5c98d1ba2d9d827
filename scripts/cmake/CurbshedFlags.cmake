# Compiler settings of every unit in this project. They live in a target that is
# not exported, so a user of the installed library keeps their own.

set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_EXPORT_COMPILE_COMMANDS ON)
set(CMAKE_RUNTIME_OUTPUT_DIRECTORY "${PROJECT_BINARY_DIR}/bin")
set(CMAKE_ARCHIVE_OUTPUT_DIRECTORY "${PROJECT_BINARY_DIR}/lib")

# CMake's own Release level is -O3; -O2 builds faster and the hot loops gain nothing from -O3.
set(CMAKE_CXX_FLAGS_RELEASE "-O2 -DNDEBUG")

if(NOT CMAKE_CXX_COMPILER_LAUNCHER)
  find_program(CURBSHED_CCACHE ccache)
  mark_as_advanced(CURBSHED_CCACHE)
  if(CURBSHED_CCACHE)
    set(CMAKE_CXX_COMPILER_LAUNCHER "${CURBSHED_CCACHE}")
  endif()
endif()

add_library(curbshed_build_flags INTERFACE)
target_compile_features(curbshed_build_flags INTERFACE cxx_std_20)
target_compile_options(curbshed_build_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wdouble-promotion -Wshadow
  # A fused multiply-add rounds once instead of twice: results would differ between machines.
  -ffp-contract=off
  # No path of the machine that built the program ends in it.
  "-ffile-prefix-map=${PROJECT_BINARY_DIR}=build"
  "-ffile-prefix-map=${PROJECT_SOURCE_DIR}=.")
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
  # g++ 12 sees overlapping copies in every "text" + std::string at -O2 (its bug 105651).
  target_compile_options(curbshed_build_flags INTERFACE -Wno-restrict)
endif()
if(CURBSHED_WERROR)
  target_compile_options(curbshed_build_flags INTERFACE -Werror)
endif()
if(CURBSHED_SANITIZE)
  # With sanitizers on, g++ 12 takes members of std::function and std::regex for uninitialised.
  target_compile_options(curbshed_build_flags INTERFACE -Wno-maybe-uninitialized)
  target_compile_options(curbshed_build_flags INTERFACE
    -O1 -g1 -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all)
  target_compile_definitions(curbshed_build_flags INTERFACE _GLIBCXX_ASSERTIONS)
  target_link_options(curbshed_build_flags INTERFACE -fsanitize=address,undefined)
endif()
