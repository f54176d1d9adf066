"""What a process may take from this machine for strangers' words: bytes, time, memory, files,
network; and how it is stopped."""
