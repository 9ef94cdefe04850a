"""Ways of handing over a result: a page of text, a JSON document, a CSV of steps."""
