"""gunicorn, with a worker that waits for slow clients without occupying a thread."""
