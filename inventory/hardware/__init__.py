"""Hardware: fasteners, grommets, hoses; what a car needs to go together again, and what is in stock."""
