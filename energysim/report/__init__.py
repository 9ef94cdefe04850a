"""Ways of handing over a result: text, an HTML page, a JSON document, a CSV of steps."""
