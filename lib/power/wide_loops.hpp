// Hot loops are compiled twice, for plain x86-64 and for AVX2; the processor chooses when the library is loaded. No
// fused multiply-add, so that results do not depend on the processor.
#pragma once

#if defined(__x86_64__) && defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define BLN_WIDE_LOOPS __attribute__((target_clones("avx2", "default"), optimize("O3")))
#else
#define BLN_WIDE_LOOPS
#endif
