# Targets blondel (shared) and blondel_static from one set of objects.
# Rooms and their direction: power <- site <- {rules, plan, proof, energy} <- capi.
find_path(BLONDEL_FMT_INCLUDE fmt/format.h REQUIRED)
find_path(BLONDEL_RAPIDJSON_INCLUDE rapidjson/reader.h REQUIRED)

file(GLOB BLONDEL_SOURCES CONFIGURE_DEPENDS
     ${PROJECT_SOURCE_DIR}/lib/power/*.cpp ${PROJECT_SOURCE_DIR}/lib/site/*.cpp
     ${PROJECT_SOURCE_DIR}/lib/rules/*.cpp ${PROJECT_SOURCE_DIR}/lib/plan/*.cpp
     ${PROJECT_SOURCE_DIR}/lib/proof/*.cpp ${PROJECT_SOURCE_DIR}/lib/energy/*.cpp
     ${PROJECT_SOURCE_DIR}/lib/capi/*.cpp)

add_library(blondel_objects OBJECT ${BLONDEL_SOURCES})
target_compile_features(blondel_objects PRIVATE cxx_std_20)
target_include_directories(blondel_objects PRIVATE ${PROJECT_SOURCE_DIR}/include ${PROJECT_SOURCE_DIR}/lib)
target_include_directories(blondel_objects SYSTEM PRIVATE ${BLONDEL_FMT_INCLUDE} ${BLONDEL_RAPIDJSON_INCLUDE})
target_compile_definitions(blondel_objects PRIVATE BLN_BUILDING FMT_HEADER_ONLY=1)
set_target_properties(blondel_objects PROPERTIES
    POSITION_INDEPENDENT_CODE ON CXX_VISIBILITY_PRESET hidden VISIBILITY_INLINES_HIDDEN ON CXX_EXTENSIONS OFF)
target_compile_options(blondel_objects PRIVATE
    -Wall -Wextra -Wpedantic -Wconversion -Wshadow -fno-math-errno -ffunction-sections -fdata-sections
    # gcc 12 takes an empty std::optional for an uninitialised number when it optimises.
    $<$<CXX_COMPILER_ID:GNU>:-Wno-maybe-uninitialized>
    $<$<BOOL:${BLONDEL_WERROR}>:-Werror>)

set(BLONDEL_TARGETS)
if(BLONDEL_SHARED)
    add_library(blondel SHARED $<TARGET_OBJECTS:blondel_objects>)
    set_target_properties(blondel PROPERTIES VERSION ${PROJECT_VERSION} SOVERSION 0)
    target_link_options(blondel PRIVATE
        -Wl,--version-script=${PROJECT_SOURCE_DIR}/lib/capi/blondel.map -Wl,--gc-sections -Wl,--no-undefined)
    set_target_properties(blondel PROPERTIES LINK_DEPENDS ${PROJECT_SOURCE_DIR}/lib/capi/blondel.map)
    list(APPEND BLONDEL_TARGETS blondel)
endif()
if(BLONDEL_STATIC)
    add_library(blondel_static STATIC $<TARGET_OBJECTS:blondel_objects>)
    set_target_properties(blondel_static PROPERTIES OUTPUT_NAME blondel)
    target_compile_definitions(blondel_static INTERFACE BLN_STATIC)
    # A project in C links with the C compiler, which does not bring the C++ runtime.
    foreach(runtime IN ITEMS stdc++ c++ m)
        if(runtime IN_LIST CMAKE_CXX_IMPLICIT_LINK_LIBRARIES)
            target_link_libraries(blondel_static INTERFACE $<$<LINK_LANGUAGE:C>:${runtime}>)
            string(APPEND BLONDEL_RUNTIME " -l${runtime}")
        endif()
    endforeach()
    list(APPEND BLONDEL_TARGETS blondel_static)
endif()
foreach(target IN LISTS BLONDEL_TARGETS)
    target_include_directories(${target} INTERFACE
        $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include> $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>)
endforeach()
if(TARGET blondel)
    add_library(blondel::blondel ALIAS blondel)
endif()
if(TARGET blondel_static)
    add_library(blondel::blondel_static ALIAS blondel_static)
endif()

if(BLONDEL_INSTALL)
    include(${PROJECT_SOURCE_DIR}/lib/install.cmake)
endif()
