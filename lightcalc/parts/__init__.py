"""What the maker can buy: kinds of part, and the folder of CSV files they come from."""
