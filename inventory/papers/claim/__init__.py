"""The claim: what was on a car or at a place on the day of a loss, as one file."""
