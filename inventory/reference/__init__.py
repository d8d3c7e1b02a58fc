"""Kinds, procedures, failure modes and cautions, each value with its source."""
