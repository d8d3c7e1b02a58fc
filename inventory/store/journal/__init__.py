"""The journal: writing rows with their entries, the form of entries, their places in the log."""
