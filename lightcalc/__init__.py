"""Battery-powered light in furniture, worked out before anything is glued."""
