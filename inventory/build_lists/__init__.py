"""Build lists on a car: taken from a ready-made list or from another car, and compared with what is there."""
