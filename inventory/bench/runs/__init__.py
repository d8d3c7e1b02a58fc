"""Runs on record, and the contexts they are judged in."""
