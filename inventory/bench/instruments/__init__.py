"""Instruments: what they lend a run, and which runs they make doubtful."""
