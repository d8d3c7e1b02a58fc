"""Connecting to a record: engines, versions, what errors of drivers mean, reading where nothing may be written."""
