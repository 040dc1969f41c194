"""What puts load on the page runs for minutes, by its own command; pytest collects none of it."""

collect_ignore_glob = ["*.py"]
