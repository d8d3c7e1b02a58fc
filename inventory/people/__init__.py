"""People and firms: who writes in the record, and who is spoken of."""
