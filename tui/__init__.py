"""The terminal browser, and the command's entry point. No SQL, no arithmetic, no rule of its own."""
