# cmake --install: the program, the headers, and a package for find_package(curbshed [COMPONENTS ...]).
# Each layer has an export file of its own, so that a user of the formulas needs neither GDAL nor OpenSSL.
include(CMakePackageConfigHelpers)
set(package_dir "${CMAKE_INSTALL_LIBDIR}/cmake/curbshed")

set(CURBSHED_PURE_LAYERS base shapes water trees terrain street study siting)
foreach(layer IN LISTS CURBSHED_PURE_LAYERS ITEMS geodata report)
  install(TARGETS curbshed_${layer} EXPORT curbshed-${layer}
    ARCHIVE DESTINATION "${CMAKE_INSTALL_LIBDIR}")
  install(EXPORT curbshed-${layer} NAMESPACE curbshed:: DESTINATION "${package_dir}")
  install(DIRECTORY "${PROJECT_SOURCE_DIR}/include/curbshed/${layer}"
    DESTINATION "${CMAKE_INSTALL_INCLUDEDIR}/curbshed" OPTIONAL)
endforeach()
install(TARGETS curbshed RUNTIME DESTINATION "${CMAKE_INSTALL_BINDIR}")

list(JOIN CURBSHED_PURE_LAYERS " " CURBSHED_PURE_LAYERS)
configure_package_config_file("${PROJECT_SOURCE_DIR}/scripts/cmake/curbshed-config.cmake.in"
  "${PROJECT_BINARY_DIR}/curbshed-config.cmake" INSTALL_DESTINATION "${package_dir}")
write_basic_package_version_file("${PROJECT_BINARY_DIR}/curbshed-config-version.cmake"
  COMPATIBILITY SameMinorVersion)
install(FILES "${PROJECT_BINARY_DIR}/curbshed-config.cmake"
  "${PROJECT_BINARY_DIR}/curbshed-config-version.cmake" DESTINATION "${package_dir}")
