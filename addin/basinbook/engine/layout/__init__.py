"""Setting-out: a place for every block, the cuts, and the stock they come from."""
