"""The parts of the sheet that shows a boat's assemblies side by side."""
