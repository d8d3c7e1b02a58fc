"""Tests of the command line, as a person or a script uses it."""
