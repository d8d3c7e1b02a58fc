"""Labels: for parts, and for what stays on the car when a part comes off."""
