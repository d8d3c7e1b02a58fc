"""What was written for others, and to whom it was given."""
