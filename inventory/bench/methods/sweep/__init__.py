"""The sweep: inductance against vacuum, beside a unit that is trusted."""
