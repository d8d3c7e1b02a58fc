"""Sets of injectors with nearly equal flow."""
