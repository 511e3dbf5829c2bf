# What an installed copy consists of: header, libraries, CMake package, pkg-config file.
include(CMakePackageConfigHelpers)

install(TARGETS ${BLONDEL_TARGETS} EXPORT blondel
        LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}
        ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}
        RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/include/blondel DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})

# Relative, so that an installed copy may be moved.
set(BLONDEL_CMAKE_DIR ${CMAKE_INSTALL_LIBDIR}/cmake/blondel)
install(EXPORT blondel NAMESPACE blondel:: FILE blondel-targets.cmake DESTINATION ${BLONDEL_CMAKE_DIR})
configure_package_config_file(${PROJECT_SOURCE_DIR}/lib/blondel-config.cmake.in
    ${PROJECT_BINARY_DIR}/blondel-config.cmake INSTALL_DESTINATION ${BLONDEL_CMAKE_DIR}
    NO_SET_AND_CHECK_MACRO NO_CHECK_REQUIRED_COMPONENTS_MACRO)
# Until 1.0 every minor version may break its users.
write_basic_package_version_file(${PROJECT_BINARY_DIR}/blondel-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/blondel-config.cmake ${PROJECT_BINARY_DIR}/blondel-config-version.cmake
        DESTINATION ${BLONDEL_CMAKE_DIR})

file(RELATIVE_PATH BLONDEL_PC_PREFIX /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
string(REGEX REPLACE "/$" "" BLONDEL_PC_PREFIX "${BLONDEL_PC_PREFIX}")
configure_file(${PROJECT_SOURCE_DIR}/lib/blondel.pc.in ${PROJECT_BINARY_DIR}/blondel.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/blondel.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
