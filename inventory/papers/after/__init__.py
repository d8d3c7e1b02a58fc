"""One page for those who come after: what is worth most, what belongs together, what belongs to whom, whom to ask."""
