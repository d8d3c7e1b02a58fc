"""Copies of a whole record: backups, records brought back from them, and copies on another engine."""
