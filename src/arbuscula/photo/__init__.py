"""Photo: pictures as bytes; nothing here opens a file, and nothing is decoded."""
