"""What on the record cannot both be true, what settles it, and what merely deserves a remark."""
