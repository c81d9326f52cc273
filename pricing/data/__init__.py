"""The invented demo catalogue: CSV files, and the make_demo.py that writes them."""
