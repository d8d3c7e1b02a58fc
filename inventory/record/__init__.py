"""What is said of the record itself: its clocks, how its sheets are read, what was taken back."""
