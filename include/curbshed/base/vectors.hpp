// Loops compiled once more for machines with wider vectors; the program picks at start. Same arithmetic, same
// bits: nothing is contracted or reordered. At -O2 the compiler makes vectors only of loops whose length it
// knows: hence the wish for the dynamic cost model.
#pragma once

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define CURBSHED_VECTOR_CLONES \
  __attribute__((target_clones("avx512f", "avx2", "default"), optimize("vect-cost-model=dynamic")))
#else
#define CURBSHED_VECTOR_CLONES
#endif
