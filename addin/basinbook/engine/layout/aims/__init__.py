"""What else than the cuts a layout can be least in: blocks to buy, different lengths, cost."""
