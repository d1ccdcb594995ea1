"""Long work: in several processes, with a journal to go on from."""
