"""What strangers' words may take from this machine: bytes read, time, memory, files, network."""
