"""tickover: the workshop companion for a motorcycle build."""
