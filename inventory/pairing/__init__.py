"""Which sensor and which control unit belong together."""
