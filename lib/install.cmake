# What `cmake --install` puts where, and the Debian packages that CPack makes of it: `underdraw` with
# the program, its manual pages and completion, `underdraw-dev` with the library.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

install(TARGETS underdraw RUNTIME COMPONENT program)
install(FILES README.md docs/changelog.md TYPE DOC COMPONENT program)
install(DIRECTORY docs/guide docs/commands docs/pictures TYPE DOC COMPONENT program)

get_property(stages GLOBAL PROPERTY UNDERDRAW_STAGES)
install(TARGETS underdraw_options ${stages}
        EXPORT underdraw-targets
        ARCHIVE COMPONENT library)
install(DIRECTORY lib/
        DESTINATION "${CMAKE_INSTALL_INCLUDEDIR}/underdraw"
        COMPONENT library
        FILES_MATCHING PATTERN "*.h")

set(config_dir "${CMAKE_INSTALL_LIBDIR}/cmake/underdraw")
install(EXPORT underdraw-targets NAMESPACE underdraw:: DESTINATION "${config_dir}" COMPONENT library)
configure_package_config_file(lib/underdraw-config.cmake.in
                              "${PROJECT_BINARY_DIR}/underdraw-config.cmake"
                              INSTALL_DESTINATION "${config_dir}")
# Below 1.0 a new minor version may change the library.
write_basic_package_version_file("${PROJECT_BINARY_DIR}/underdraw-config-version.cmake"
                                 COMPATIBILITY SameMinorVersion)
install(FILES "${PROJECT_BINARY_DIR}/underdraw-config.cmake"
              "${PROJECT_BINARY_DIR}/underdraw-config-version.cmake"
              lib/dependencies.cmake
        DESTINATION "${config_dir}"
        COMPONENT library)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME underdraw)
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "true-size transfer sheets for hand-decorated ceramics")
set(CPACK_PACKAGE_CONTACT "the underdraw makers <underdraw@localhost>")
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_RESOURCE_FILE_LICENSE "${PROJECT_SOURCE_DIR}/LICENSE")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program library)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION graphics)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME underdraw)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS "fontconfig, fonts-open-sans")
set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME underdraw-dev)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libdevel)
include(CPack)
