"""The web form: a description of its questions that any page can be built from, and a plain page built from it. No Flask in here but in `pages`."""
