"""Every sentence for people that is not in the catalogue or a template, a file a subject."""
