"""The vacuum hold."""
