"""The water side: volumes, flows, pump and pipe, losses and loads."""
