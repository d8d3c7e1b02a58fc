"""A workshop's own reference data: reading, checking, an example."""
