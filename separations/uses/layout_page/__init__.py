"""The layout page: a job arranged, judged and sent to film in a browser on this machine."""
