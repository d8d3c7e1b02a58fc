"""What each view reads and writes: functions that take a session and return plain values to show."""
