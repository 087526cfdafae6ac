"""Plain numbers in, plain results out: what a batch measures, earns and is worth."""
