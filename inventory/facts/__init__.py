"""What all facts share: how a kind of fact is declared, and how any fact is shown, written, corrected, taken back."""
