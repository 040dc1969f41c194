"""How sure an answer is: many builds of one design, each with parts as they may turn out."""
