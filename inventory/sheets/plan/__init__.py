"""What each row of a file would change in the record, and how that is written."""
