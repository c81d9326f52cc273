"""The quotation: its languages and names; assembled in `service.documents.quotation.html`."""
