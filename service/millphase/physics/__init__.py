"""Laws of nature as pure functions on floats; nothing here knows rules, requests or files."""
