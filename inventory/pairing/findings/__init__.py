"""The findings about one sensor and one control unit, and the highest grade that each allows."""
