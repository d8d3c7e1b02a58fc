"""What is found about one sensor and one control unit, and how high the two can stand with it."""
