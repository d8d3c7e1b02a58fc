"""Counting what is there, place by place."""
