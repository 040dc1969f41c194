"""Paper for the bench, the shop and the client, made of a design and its answer."""
