"""Show results: the command line and the answer sheet. Nothing here computes."""
