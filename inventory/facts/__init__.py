"""What all facts share: how a kind is declared, and how facts are shown, written, corrected and taken back."""
