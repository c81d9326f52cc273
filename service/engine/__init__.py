"""The engine with the tables in force, and the lock that serialises its use."""
