"""The folder edition: the built site, changed so that it works from a folder, without a server."""
