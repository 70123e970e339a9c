//! Published files: feasible, never below a known bound, the same on any number of threads.
