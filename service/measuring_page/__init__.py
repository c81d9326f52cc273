"""The page for the dock: the form's questions in the order of the work, kept by the browser so that it opens without a network.

`shell` writes the page, `module` joins its script from the element's parts and its own, `worker` writes the service worker that keeps both,
`manifest` says how the page is installed, `texts` has its words.
"""
