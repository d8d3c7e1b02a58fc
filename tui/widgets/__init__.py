"""The widgets of the views."""
