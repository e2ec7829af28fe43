# Warnings are errors for us, never for somebody who adds this project as a subfolder.
# g++ keeps int -> size_t out of -Wconversion; clang puts it in, so it is taken out there: both judge the same code alike.
function(evenstroke_warnings target)
  if(PROJECT_IS_TOP_LEVEL AND CMAKE_CXX_COMPILER_ID MATCHES "GNU|Clang")
    target_compile_options(${target} PRIVATE -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
      $<$<CXX_COMPILER_ID:Clang,AppleClang>:-Wno-sign-conversion>)
  endif()
endfunction()
