"""The sweep: inductance against vacuum, compared with a trusted unit."""
