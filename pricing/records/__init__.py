"""Records after the quote: finished assemblies, growth, differences between revisions, fleets."""
