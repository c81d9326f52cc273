"""The quotation: its languages and business days; `service.documents.quotation_html` puts it together."""
