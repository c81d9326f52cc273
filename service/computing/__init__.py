"""Processes that compute for the HTTP threads, so that a large computation holds up no other request and can be killed if it exceeds
its budget.
"""
