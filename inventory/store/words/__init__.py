"""Text as people type it: cleaned, folded for comparing, searched, near names."""
