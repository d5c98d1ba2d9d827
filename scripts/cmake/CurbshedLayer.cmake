# curbshed_layer(<name> SOURCES a.cpp ... [DEPENDS layer ...] [PUBLIC_LIBS t ...] [PRIVATE_LIBS t ...])
#
# Makes the static library curbshed_<name> with the alias curbshed::<name> out of src/<name>/.
# A test compares the lists with the folders; scripts/checks/layout.py . --write-lists brings them up to date.
# PRIVATE_LIBS are third-party libraries that no header of the layer shows.
function(curbshed_layer name)
  cmake_parse_arguments(PARSE_ARGV 1 arg "" "" "SOURCES;DEPENDS;PUBLIC_LIBS;PRIVATE_LIBS")
  set(target curbshed_${name})
  list(TRANSFORM arg_DEPENDS PREPEND curbshed::)
  list(TRANSFORM arg_SOURCES PREPEND ${name}/)
  add_library(${target} STATIC ${arg_SOURCES})
  target_include_directories(${target} PUBLIC
    "$<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include>"
    "$<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>")
  # A layer's private headers stay beside its sources.
  target_include_directories(${target} PRIVATE "${PROJECT_SOURCE_DIR}/src")
  target_compile_features(${target} PUBLIC cxx_std_20)
  target_link_libraries(${target}
    PUBLIC ${arg_DEPENDS} ${arg_PUBLIC_LIBS}
    PRIVATE $<BUILD_INTERFACE:curbshed_build_flags> ${arg_PRIVATE_LIBS})
  set_target_properties(${target} PROPERTIES EXPORT_NAME ${name})
  add_library(curbshed::${name} ALIAS ${target})
endfunction()

# curbshed_layer_tests(<layer> SOURCES a_test.cpp ... [LIBS t ...]): one test program a layer.
function(curbshed_layer_tests layer)
  cmake_parse_arguments(PARSE_ARGV 1 arg "" "" "SOURCES;LIBS")
  list(TRANSFORM arg_SOURCES PREPEND ${layer}/)
  set(target curbshed_${layer}_tests)
  add_executable(${target} ${arg_SOURCES})
  target_include_directories(${target} PRIVATE "${PROJECT_SOURCE_DIR}/tests" "${PROJECT_SOURCE_DIR}/src")
  target_compile_definitions(${target} PRIVATE
    "CURBSHED_SOURCE_DIR=\"${PROJECT_SOURCE_DIR}\""
    "CURBSHED_TEST_TMP=\"${PROJECT_BINARY_DIR}/test-tmp\"")
  target_link_libraries(${target} PRIVATE
    curbshed_build_flags curbshed::${layer} ${arg_LIBS} GTest::gtest GTest::gtest_main)
  gtest_discover_tests(${target}
    DISCOVERY_MODE PRE_TEST
    TEST_PREFIX "${layer}."
    WORKING_DIRECTORY "${PROJECT_BINARY_DIR}"
    PROPERTIES LABELS "${layer}" TIMEOUT 300)
endfunction()
