"""People and firms: those who write in the record, and those mentioned in it."""
