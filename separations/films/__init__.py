"""From dots to film-ready PDFs: marks, sheets, streamed pages, reading back."""
