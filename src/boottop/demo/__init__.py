"""The demonstration job: an invented boat, yard and coatings, with real open weather. Data only, no code."""
