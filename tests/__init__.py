"""The tests; they mirror the tree of what they test."""
