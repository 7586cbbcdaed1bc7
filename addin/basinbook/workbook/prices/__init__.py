"""Price lists: a book of suppliers' terms and prices, kept from job to job."""
