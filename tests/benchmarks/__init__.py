"""Benchmarks: each module's `main()` prints ratios measured in one run. `make bench` runs them all."""
