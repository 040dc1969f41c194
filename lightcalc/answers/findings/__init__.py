"""What is to be known of a design before it is built, graded, and the usual cautions."""
