"""The web form: a description of its questions from which any page can be built, and plain pages built from it. Only `visit`,
`language`, `storing` and `error_pages` use Flask.
"""
