"""The ground floor: what is true of matter whoever mixes it, each table beside its reader."""
