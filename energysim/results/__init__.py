"""What is known at the end: frozen records, a module an answer, without law or layout."""
