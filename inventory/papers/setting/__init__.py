"""The setting paper: what a specialist hands over with a sensor that he has set for a control unit."""
