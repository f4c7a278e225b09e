"""What comes back from site: records in one append-only file, each checked against its rule, and what is missing."""
