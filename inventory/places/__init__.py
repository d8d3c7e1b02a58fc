"""Where parts lie."""
