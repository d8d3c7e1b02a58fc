"""Instruments: their accuracy and resolution for runs, and the runs they make doubtful."""
