"""What happened: typed events, the journal they are kept in, and the state folded from them."""
