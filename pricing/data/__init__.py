"""The invented demo catalogue: CSV files, and make_demo.py which writes them."""
