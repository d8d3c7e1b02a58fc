"""Opening a record, base types, migration, search, the journal."""
