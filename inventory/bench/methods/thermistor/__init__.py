"""Thermistors: resistance against temperature."""
