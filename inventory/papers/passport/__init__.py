"""The passport of a part: its history as a zipped BagIt bag (RFC 8493), written, checked, and read in elsewhere."""
