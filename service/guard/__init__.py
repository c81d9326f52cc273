"""Who may do what, how often, and what every reply says beside its body: wired into the application by `install` (entrance.py, manners.py)."""
