"""Our own parsers under made-up input: each ends soon, and refuses what it cannot read with a sentence."""
