"""What each view asks of the record: plain functions that take a session and give what is shown."""
