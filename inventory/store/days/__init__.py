"""Days and moments: the clock, the record's zone, vague dates, the moment of an act."""
