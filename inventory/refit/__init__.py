"""Putting a car back together: the plan, its jobs, and whether parts are ready."""
