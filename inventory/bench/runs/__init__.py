"""Runs on record, and everything they are judged by."""
