"""What happens when one thing about a design is changed step by step."""
