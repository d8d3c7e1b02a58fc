"""Is the record as the program wrote it? Chains, rows, log and schema, each checked without knowing what rows mean.

The whole check, which also asks the subjects, is `inventory.verification`.
"""
