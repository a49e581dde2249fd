"""Decision support for the finish of a concrete slab on grade."""
